// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"
#include "base/text.hpp"
#include "lp/proof.hpp"
#include "lp/solver.hpp"

#include <fmt/format.h>
#include <glpk.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <limits>
#include <string>
#include <utility>
#include <vector>

namespace feedwright::lp {

namespace {

// ---------------------------------------------------------------------------------------------
// The library's state of this thread.

// GLPK keeps its memory, its hooks and its last error per thread. After an error nothing it holds
// may be touched again: `broken` is set, and the next call throws all of it away, which ends every
// problem of the thread (`generation` tells them so).
struct ThreadState {
    int users = 0;
    unsigned generation = 0;
    bool broken = false;
    std::string printed;
};

thread_local ThreadState thread_state;

// Returning non-zero keeps the text from standard output.
int keep_text(void* info, const char* text) {
    std::string& printed = static_cast<ThreadState*>(info)->printed;
    constexpr std::size_t enough = 2000;
    if (printed.size() > enough) printed.clear();
    printed += text;
    return 1;
}

// The library aborts the process if this returns. The exception passes through its C frames; gcc
// and clang write the unwind tables for that on the platforms we build for, and a test does it.
void throw_error(void* info) {
    auto& state = *static_cast<ThreadState*>(info);
    state.broken = true;
    std::string text(base::trim(std::exchange(state.printed, {})));
    std::replace(text.begin(), text.end(), '\n', ' ');
    throw Error("the linear programming library broke down: " + text);
}

void install_hooks() {
    glp_term_out(GLP_OFF);
    glp_term_hook(keep_text, &thread_state);
    glp_error_hook(throw_error, &thread_state);
}

void discard_all() {
    glp_free_env();
    thread_state.broken = false;
    thread_state.printed.clear();
    ++thread_state.generation;
}

// Held by everything that uses GLPK; the last one of a thread gives its memory back.
class ThreadUse {
  public:
    ThreadUse() {
        if (thread_state.users++ == 0) install_hooks();
    }
    ~ThreadUse() {
        if (--thread_state.users == 0) discard_all();
    }
    ThreadUse(const ThreadUse&) = delete;
    ThreadUse& operator=(const ThreadUse&) = delete;
};

// ---------------------------------------------------------------------------------------------
// Between our terms and GLPK's, which counts from 1.

int one_based(std::size_t index) {
    return static_cast<int>(index) + 1;
}

struct GlpkLimits {
    int type;
    double lower;
    double upper;
};

GlpkLimits to_glpk(const std::optional<double>& lower, const std::optional<double>& upper) {
    const double l = lower.value_or(0);
    const double u = upper.value_or(0);
    if (!lower && !upper) return {GLP_FR, 0, 0};
    if (!upper) return {GLP_LO, l, 0};
    if (!lower) return {GLP_UP, 0, u};
    return {l == u ? GLP_FX : GLP_DB, l, u};
}

int to_glpk(Rest rest) {
    switch (rest) {
        case Rest::basic:
            return GLP_BS;
        case Rest::at_lower:
            return GLP_NL;
        case Rest::at_upper:
            return GLP_NU;
        case Rest::fixed:
            return GLP_NS;
        case Rest::free:
            return GLP_NF;
    }
    return GLP_NL;
}

Rest from_glpk(int status) {
    switch (status) {
        case GLP_BS:
            return Rest::basic;
        case GLP_NU:
            return Rest::at_upper;
        case GLP_NS:
            return Rest::fixed;
        case GLP_NF:
            return Rest::free;
        default:
            return Rest::at_lower;
    }
}

// The library's return codes that leave no answer, in plain words.
std::string reason(int code) {
    switch (code) {
        case GLP_EBADB:
            return "the basis does not fit the program";
        case GLP_ESING:
            return "the basis is singular";
        case GLP_ECOND:
            return "the basis is ill-conditioned";
        case GLP_EBOUND:
            return "a limit is not valid";
        case GLP_ENOPFS:
        case GLP_ENODFS:
        case GLP_ENOFEAS:
            return "presolve found no feasible point";
        case GLP_EROOT:
            return "the continuous program was not solved first";
        case GLP_EINSTAB:
            return "the numbers are too far apart in size";
        default:
            return fmt::format("the solver gave up (code {})", code);
    }
}

double without_minus_zero(double value) {
    return value + 0.0;
}

class Deadline {
  public:
    explicit Deadline(double seconds)
        : end_(clock::now() +
               std::chrono::duration_cast<clock::duration>(std::chrono::duration<double>(
                   std::clamp(seconds > 0 ? seconds : 0.0, 0.0, longest)))) {}
    int milliseconds_left() const {
        const auto left =
            std::chrono::duration_cast<std::chrono::milliseconds>(end_ - clock::now()).count();
        return static_cast<int>(std::max<decltype(left)>(left, 0));
    }

  private:
    using clock = std::chrono::steady_clock;
    static constexpr double longest = 1e6;  // seconds; in milliseconds it still fits an int
    clock::time_point end_;
};

bool interrupted(const SolveOptions& options) {
    return options.interrupt != nullptr && options.interrupt->load(std::memory_order_relaxed);
}

// ---------------------------------------------------------------------------------------------
// One continuous program in the library's memory.

class Engine {
  public:
    /// `program` must outlive this and may change through the setters below only. `prove`: settle
    /// claims of infeasible and unbounded by programs that cannot be either.
    /// `traces`: mind limits below the library's tolerance too. Not for whole numbers, whose rows
    /// may have limits that are nothing but rounding.
    explicit Engine(const LinearProgram& program, bool prove = true, bool traces = true)
        : program_(program), prove_(prove), traces_(traces) {}
    ~Engine() { unload(); }
    Engine(const Engine&) = delete;
    Engine& operator=(const Engine&) = delete;

    // To be called after the same change of the program. Costs are handed over by each solve.
    void update_column_limits(std::size_t column) {
        if (!usable()) return;
        const Column& c = program_.columns()[column];
        const GlpkLimits limits = to_glpk(c.lower, c.upper);
        glp_set_col_bnds(problem_, one_based(column), limits.type, limits.lower, limits.upper);
    }
    void update_last_row();
    void update_row_limits(std::size_t row) {
        if (!usable()) return;
        const Row& r = program_.rows()[row];
        const GlpkLimits limits = to_glpk(r.lower, r.upper);
        glp_set_row_bnds(problem_, one_based(row), limits.type, limits.lower, limits.upper);
    }

    Solution solve(const SolveOptions& options, const Deadline& deadline);

    /// Branch and cut over the program's integer columns, from the optimum that solve() has just
    /// found.
    Solution search_integers(const LinearProgram& integer_program, const SolveOptions& options,
                             const Deadline& deadline);

  private:
    enum class Start { as_is, given, standard, advanced };
    enum class Method { primal, dual, exact };
    struct Attempt {
        Start start;
        Method method;
        double tolerance;
    };

    bool usable() const {
        return problem_ != nullptr && generation_ == thread_state.generation &&
               !thread_state.broken;
    }
    void load();
    void unload();
    Solution try_once(const Attempt& attempt, const SolveOptions& options,
                      const Deadline& deadline);
    void place(const Attempt& attempt, const SolveOptions& options);
    void set_basis(const Basis& basis);
    Basis basis() const;
    int run(const Attempt& attempt, const SolveOptions& options, const Deadline& deadline,
            int& iterations);
    bool recompute();
    void set_costs(double cap);
    double costs_up_to() const;
    bool may_cap(std::size_t column) const;
    double cost_given(std::size_t column) const;
    bool uses_capped(const std::vector<double>& primal) const;
    bool read(const Attempt& attempt, Solution& solution);
    void sharpen(const Attempt& attempt, const SolveOptions& options, const Deadline& deadline,
                 Solution& solution);
    void read_point(Solution& solution) const;
    void read_duals(Solution& solution) const;
    Solution search_once(const LinearProgram& integer_program, const SolveOptions& options,
                         const Deadline& deadline);

    const LinearProgram& program_;
    bool prove_;
    bool traces_;
    bool grew_ = false;  ///< by rows since the last solve
    glp_prob* problem_ = nullptr;
    unsigned generation_ = 0;
    std::size_t entries_ = 0;
    double cap_ = std::numeric_limits<double>::infinity();  ///< on the costs the library has
    double cost_scale_ = 1;                                 ///< its costs over the program's
};

void Engine::load() {
    const auto& columns = program_.columns();
    const auto& rows = program_.rows();
    if (thread_state.broken) {
        discard_all();
        install_hooks();
    }
    problem_ = glp_create_prob();
    generation_ = thread_state.generation;
    if (!rows.empty()) glp_add_rows(problem_, static_cast<int>(rows.size()));
    if (!columns.empty()) glp_add_cols(problem_, static_cast<int>(columns.size()));
    std::vector<int> row_of{0};
    std::vector<int> column_of{0};
    std::vector<double> value_of{0};
    for (std::size_t r = 0; r < rows.size(); ++r) {
        update_row_limits(r);
        for (const Entry& entry : rows[r].entries) {
            if (entry.value == 0) continue;
            row_of.push_back(one_based(r));
            column_of.push_back(one_based(entry.column));
            value_of.push_back(entry.value);
        }
    }
    for (std::size_t c = 0; c < columns.size(); ++c)
        update_column_limits(c);
    entries_ = value_of.size() - 1;
    glp_load_matrix(problem_, static_cast<int>(entries_), row_of.data(), column_of.data(),
                    value_of.data());
    // Powers of two: scaling changes no digit of the data.
    glp_scale_prob(problem_, GLP_SF_GM | GLP_SF_EQ | GLP_SF_2N);
    // The library takes a row for met that is missed by 1e-9 of its scaled coefficients. A limit
    // not far above that (a trace of a pure substance) would pass for met without any of it.
    constexpr double least_limit = 1e-5;
    for (std::size_t r = 0; traces_ && r < rows.size(); ++r) {
        const double scale = glp_get_rii(problem_, one_based(r));
        double limit = std::numeric_limits<double>::infinity();
        for (const auto& side : {rows[r].lower, rows[r].upper}) {
            if (side && *side != 0) limit = std::min(limit, std::abs(*side) * scale);
        }
        if (!(limit < least_limit)) continue;
        constexpr int most = 60;  // as a power of two: so small a limit is no amount of anything
        const int up = std::min(std::ilogb(least_limit) - std::ilogb(limit), most);
        glp_set_rii(problem_, one_based(r), std::ldexp(scale, up));
    }
}

// A row that comes later is scaled so that its largest coefficient is between 64 and 128: it is
// then met to a 64th of the library's tolerance, because such rows make up for something round.
void Engine::update_last_row() {
    if (!usable()) return;
    const std::size_t r = program_.rows().size() - 1;
    glp_add_rows(problem_, 1);
    update_row_limits(r);
    std::vector<int> column_of{0};
    std::vector<double> value_of{0};
    double largest = 0;
    for (const Entry& entry : program_.rows()[r].entries) {
        if (entry.value == 0) continue;
        column_of.push_back(one_based(entry.column));
        value_of.push_back(entry.value);
        const double scale = glp_get_sjj(problem_, one_based(entry.column));
        largest = std::max(largest, std::abs(entry.value) * scale);
    }
    const std::size_t count = value_of.size() - 1;
    glp_set_mat_row(problem_, one_based(r), static_cast<int>(count), column_of.data(),
                    value_of.data());
    entries_ += count;
    constexpr int large = 6;  // as a power of two
    constexpr int most = 1000;
    if (largest > 0 && std::isfinite(largest)) {
        const int up = std::clamp(large - std::ilogb(largest), -most, most);
        glp_set_rii(problem_, one_based(r), std::ldexp(1.0, up));
    }
    grew_ = true;
}

void Engine::unload() {
    if (usable()) glp_delete_prob(problem_);
    problem_ = nullptr;
}

void Engine::set_basis(const Basis& basis) {
    // The standard basis first, because it drops the factorisation even where the new basis is the
    // old one: what follows must not depend on what came before.
    glp_std_basis(problem_);
    for (std::size_t r = 0; r < basis.rows.size(); ++r) {
        glp_set_row_stat(problem_, one_based(r), to_glpk(basis.rows[r]));
    }
    for (std::size_t c = 0; c < basis.columns.size(); ++c) {
        glp_set_col_stat(problem_, one_based(c), to_glpk(basis.columns[c]));
    }
}

Basis Engine::basis() const {
    Basis result;
    result.rows.reserve(program_.rows().size());
    for (std::size_t r = 0; r < program_.rows().size(); ++r) {
        result.rows.push_back(from_glpk(glp_get_row_stat(problem_, one_based(r))));
    }
    result.columns.reserve(program_.columns().size());
    for (std::size_t c = 0; c < program_.columns().size(); ++c) {
        result.columns.push_back(from_glpk(glp_get_col_stat(problem_, one_based(c))));
    }
    return result;
}

void Engine::place(const Attempt& attempt, const SolveOptions& options) {
    switch (attempt.start) {
        case Start::as_is:
            return;
        case Start::given: {
            const bool fits = options.start->rows.size() == program_.rows().size() &&
                              options.start->columns.size() == program_.columns().size();
            if (fits) {
                set_basis(*options.start);
            } else {
                glp_std_basis(problem_);
            }
            return;
        }
        case Start::standard:
            glp_std_basis(problem_);
            return;
        case Start::advanced:
            // The library's crash basis aborts on a program without rows or columns.
            if (entries_ > 0) glp_adv_basis(problem_, 0);
            return;
    }
}

// The return code of the simplex method. It has no callback, so it runs in stretches between which
// an interrupt is seen; programs of this trade end within the first.
int Engine::run(const Attempt& attempt, const SolveOptions& options, const Deadline& deadline,
                int& iterations) {
    constexpr int stretch = 10'000;
    glp_smcp parameters;
    glp_init_smcp(&parameters);
    parameters.msg_lev = GLP_MSG_OFF;
    parameters.meth = attempt.method == Method::dual ? GLP_DUALP : GLP_PRIMAL;
    parameters.tol_bnd = attempt.tolerance;
    parameters.tol_dj = attempt.tolerance;
    while (true) {
        if (interrupted(options)) return GLP_ESTOP;
        parameters.tm_lim = deadline.milliseconds_left();
        parameters.it_lim = std::clamp(options.iteration_limit - iterations, 0, stretch);
        const int before = glp_get_it_cnt(problem_);
        const int code = attempt.method == Method::exact ? glp_exact(problem_, &parameters)
                                                         : glp_simplex(problem_, &parameters);
        iterations += glp_get_it_cnt(problem_) - before;
        if (code != GLP_EITLIM || iterations >= options.iteration_limit) return code;
    }
}

// Values and duals anew from the final basis, so that they do not carry the rounding of the way to
// it. False when the basis cannot be factorised from scratch.
bool Engine::recompute() {
    if (entries_ == 0) return true;
    set_basis(basis());
    return glp_factorize(problem_) == 0 && glp_warm_up(problem_) == 0;
}

// The library takes a reduced cost for zero by an absolute tolerance, or by one relative to the
// largest cost if that is above a thousand, both as it scales columns. Costs are handed over so
// that the largest is just above a thousand, whatever the currency. One that is far above what the
// optimum is made of is cut: a column that rests at its lower limit at the lower cost rests there
// at its own as well, and the duals prove that too.
constexpr double far = 16;  // times the costs that matter

bool Engine::may_cap(std::size_t column) const {
    const auto& lower = program_.columns()[column].lower;
    return lower && *lower >= 0;
}

double Engine::cost_given(std::size_t column) const {
    const Column& c = program_.columns()[column];
    // What cannot move has no say in where the optimum is.
    if (c.lower && c.upper && *c.lower == *c.upper) return 0;
    return may_cap(column) ? std::min(c.cost, cap_) : c.cost;
}

// The largest cost that a cap could cut.
double Engine::costs_up_to() const {
    double largest = 0;
    for (std::size_t c = 0; c < program_.columns().size(); ++c) {
        const bool moves = cost_given(c) != 0;
        if (may_cap(c) && moves) largest = std::max(largest, program_.columns()[c].cost);
    }
    return largest;
}

void Engine::set_costs(double cap) {
    cap_ = cap;
    double largest = 0;
    for (std::size_t c = 0; c < program_.columns().size(); ++c) {
        const double as_scaled = cost_given(c) * glp_get_sjj(problem_, one_based(c));
        largest = std::max(largest, std::abs(as_scaled));
    }
    constexpr int thousand = 10;  // as a power of two: the largest is between 1024 and 2048
    constexpr int most = 1000;    // what a double can still be multiplied by
    cost_scale_ = 1;
    if (largest > 0 && std::isfinite(largest)) {
        cost_scale_ = std::ldexp(1.0, std::clamp(thousand - std::ilogb(largest), -most, most));
    }
    for (std::size_t c = 0; c < program_.columns().size(); ++c)
        glp_set_obj_coef(problem_, one_based(c), cost_given(c) * cost_scale_);
}

bool Engine::uses_capped(const std::vector<double>& primal) const {
    for (std::size_t c = 0; c < primal.size(); ++c) {
        const Column& column = program_.columns()[c];
        if (!may_cap(c) || !(column.cost > cap_)) continue;
        // What rounding leaves of a zero is not used, as in cost_size().
        constexpr double rounding = 1e-12;
        if (primal[c] > *column.lower + rounding * (1 + *column.lower)) return true;
    }
    return false;
}

// From an optimum on to one that holds by the costs of what it is made of. The last one that the
// library's costs are right for stays.
void Engine::sharpen(const Attempt& attempt, const SolveOptions& options, const Deadline& deadline,
                     Solution& solution) {
    const double largest = costs_up_to();
    double now = cap_;
    double too_low = 0;
    constexpr int most_rounds = 50;
    for (int round = 0; round < most_rounds; ++round) {
        const double cap = far * std::max(cost_size(program_, solution.primal), too_low);
        if (!(cap < largest && cap < now)) break;
        set_costs(cap);
        Solution finer;
        const int code = run(attempt, options, deadline, solution.iterations);
        if (code != 0) break;
        const int status = glp_get_status(problem_);
        if (status == GLP_OPT && read(attempt, finer) && !uses_capped(finer.primal)) {
            finer.iterations = solution.iterations;
            solution = std::move(finer);
            now = cap;
        } else if (status == GLP_OPT || status == GLP_UNBND) {
            too_low = cap;
        } else {
            break;
        }
    }
    if (cap_ == now) return;
    set_costs(now);
    set_basis(solution.basis);
}

bool Engine::read(const Attempt& attempt, Solution& solution) {
    if (attempt.method != Method::exact && !recompute()) {
        solution.message = reason(GLP_ECOND);
        return false;
    }
    read_point(solution);
    read_duals(solution);
    return true;
}

void Engine::read_point(Solution& solution) const {
    const auto& columns = program_.columns();
    solution.primal.resize(columns.size());
    solution.objective = 0;
    for (std::size_t c = 0; c < columns.size(); ++c) {
        const double x = without_minus_zero(glp_get_col_prim(problem_, one_based(c)));
        solution.primal[c] = x;
        solution.objective += columns[c].cost * x;
    }
    solution.row_activity.clear();
    for (const Row& row : program_.rows()) {
        double activity = 0;
        for (const Entry& entry : row.entries) {
            activity += entry.value * solution.primal[entry.column];
        }
        solution.row_activity.push_back(activity);
    }
}

void Engine::read_duals(Solution& solution) const {
    solution.row_dual.resize(program_.rows().size());
    for (std::size_t r = 0; r < solution.row_dual.size(); ++r) {
        solution.row_dual[r] =
            without_minus_zero(glp_get_row_dual(problem_, one_based(r)) / cost_scale_);
    }
    solution.reduced_cost.resize(program_.columns().size());
    for (std::size_t c = 0; c < solution.reduced_cost.size(); ++c) {
        solution.reduced_cost[c] =
            without_minus_zero(glp_get_col_dual(problem_, one_based(c)) / cost_scale_ +
                               (program_.columns()[c].cost - cost_given(c)));
    }
    solution.basis = basis();
}

Solution Engine::try_once(const Attempt& attempt, const SolveOptions& options,
                          const Deadline& deadline) {
    Solution solution;
    if (!usable()) load();
    set_costs(std::numeric_limits<double>::infinity());
    place(attempt, options);
    const int code = run(attempt, options, deadline, solution.iterations);
    if (code == GLP_EITLIM || code == GLP_ETMLIM || code == GLP_ESTOP) {
        solution.status = Status::limit;
        solution.message = code == GLP_ESTOP    ? "interrupted"
                           : code == GLP_EITLIM ? "the iteration limit was reached"
                                                : "the time limit was reached";
        if (glp_get_prim_stat(problem_) == GLP_FEAS) read_point(solution);
        return solution;
    }
    if (code != 0) {
        solution.message = reason(code);
        return solution;
    }
    switch (glp_get_status(problem_)) {
        case GLP_OPT:
            if (!read(attempt, solution)) return solution;
            sharpen(attempt, options, deadline, solution);
            if (!certify(program_, solution).holds()) {
                solution.message = "the solver's answer did not pass the check";
                return solution;
            }
            solution.status = Status::optimal;
            return solution;
        case GLP_NOFEAS:
            solution.status = Status::infeasible;
            return solution;
        case GLP_UNBND:
            solution.status = Status::unbounded;
            return solution;
        default:
            solution.message = "the solver gave no definite answer";
            return solution;
    }
}

// An optimum of a program that has one; its status tells when even that did not work out.
Solution optimum_of(const LinearProgram& program, const SolveOptions& options,
                    const Deadline& deadline) {
    SolveOptions own = options;
    own.start = nullptr;
    Engine engine(program, false);
    return engine.solve(own, deadline);
}

bool proven_infeasible(const LinearProgram& program, const SolveOptions& options,
                       const Deadline& deadline) {
    // What is missed by less than this could as well be rounding.
    constexpr double smallest_miss = 1e-7;
    const Solution missed = optimum_of(elastic(program), options, deadline);
    return missed.status == Status::optimal && missed.objective > smallest_miss;
}

bool proven_unbounded(const LinearProgram& program, const SolveOptions& options,
                      const Deadline& deadline) {
    constexpr double smallest_gain = 1e-9;
    const LinearProgram ways = directions(program);
    const Solution gain = optimum_of(ways, options, deadline);
    return gain.status == Status::optimal &&
           gain.objective < -smallest_gain * cost_size(ways, gain.primal);
}

Solution Engine::solve(const SolveOptions& options, const Deadline& deadline) {
    // The first nearly always serves. The others are for programs that are hard on the numbers:
    // each goes another way to the optimum, the last in rational arithmetic.
    constexpr double tight = 1e-9;
    constexpr double usual = 1e-7;
    // Rows that came on top of an optimum leave it the best of those that miss them.
    const bool go_on = std::exchange(grew_, false) && options.start == nullptr;
    const std::array attempts{
        Attempt{options.start != nullptr ? Start::given : Start::as_is,
                go_on ? Method::dual : Method::primal, tight},
        Attempt{Start::standard, Method::primal, tight},
        Attempt{Start::advanced, Method::primal, usual},
        Attempt{Start::standard, Method::dual, usual},
        Attempt{Start::as_is, Method::exact, usual},
    };
    int iterations = 0;
    int infeasible = 0;
    int unbounded = 0;
    std::string message;
    for (const Attempt& attempt : attempts) {
        Solution solution;
        try {
            solution = try_once(attempt, options, deadline);
            iterations += solution.iterations;
            solution.iterations = iterations;
            const bool done = solution.status == Status::optimal ||
                              solution.status == Status::limit ||
                              (prove_ && solution.status == Status::infeasible &&
                               proven_infeasible(program_, options, deadline)) ||
                              (prove_ && solution.status == Status::unbounded &&
                               proven_unbounded(program_, options, deadline));
            if (done) return solution;
        } catch (const Error& error) {
            solution = {};
            solution.message = error.what();
        }
        if (solution.status == Status::infeasible) ++infeasible;
        if (solution.status == Status::unbounded) ++unbounded;
        if (message.empty()) message = solution.message;
    }
    Solution solution;
    solution.iterations = iterations;
    // Every way gave the same answer but the second program did not confirm it: a limit is missed
    // by about the rounding error, or a direction gains about as little.
    const int all = static_cast<int>(attempts.size());
    if (infeasible == all) {
        solution.status = Status::infeasible;
    } else if (unbounded == all) {
        solution.status = Status::unbounded;
    } else {
        solution.message = message.empty() ? "no two ways to solve it agree" : message;
    }
    return solution;
}

// ---------------------------------------------------------------------------------------------
// Integer programs.

struct Search {
    const SolveOptions* options;
    int iterations_before;
    std::optional<double> bound = std::nullopt;
    bool out_of_iterations = false;
    double cost_gap = 0;  // as the solver's costs are scaled
    bool close_enough = false;
};

void watch_search(glp_tree* tree, void* info) {
    auto& search = *static_cast<Search*>(info);
    const int best = glp_ios_best_node(tree);
    if (best != 0) {
        const double bound = glp_ios_node_bound(tree, best);
        if (std::isfinite(bound) && std::abs(bound) < std::numeric_limits<double>::max()) {
            search.bound = bound;
        }
    }
    glp_prob* problem = glp_ios_get_prob(tree);
    const bool has_point = glp_mip_status(problem) == GLP_FEAS;
    if (has_point && search.bound && search.cost_gap > 0) {
        search.close_enough = glp_mip_obj_val(problem) - *search.bound <= search.cost_gap;
    }
    search.out_of_iterations =
        glp_get_it_cnt(problem) - search.iterations_before >= search.options->iteration_limit;
    if (search.close_enough || search.out_of_iterations || interrupted(*search.options)) {
        glp_ios_terminate(tree);
    }
}

// Again with a higher cap as long as the whole numbers found use something that the cap made
// cheaper.
Solution Engine::search_integers(const LinearProgram& integer_program, const SolveOptions& options,
                                 const Deadline& deadline) {
    while (true) {
        Solution found = search_once(integer_program, options, deadline);
        if (found.status != Status::optimal || !uses_capped(found.primal)) return found;
        const double higher = far * cap_;
        set_costs(higher < costs_up_to() ? higher : std::numeric_limits<double>::infinity());
        glp_std_basis(problem_);
    }
}

Solution Engine::search_once(const LinearProgram& integer_program, const SolveOptions& options,
                             const Deadline& deadline) {
    const auto& columns = integer_program.columns();
    for (std::size_t c = 0; c < columns.size(); ++c) {
        if (columns[c].integer) glp_set_col_kind(problem_, one_based(c), GLP_IV);
    }
    if (glp_get_status(problem_) != GLP_OPT) {
        // Recomputing judges optimality by absolute tolerances, which large costs can miss.
        glp_smcp again;
        glp_init_smcp(&again);
        again.msg_lev = GLP_MSG_OFF;
        again.tm_lim = deadline.milliseconds_left();
        glp_simplex(problem_, &again);
    }
    Search search{&options, glp_get_it_cnt(problem_)};
    search.cost_gap = options.cost_gap * cost_scale_;
    glp_iocp parameters;
    glp_init_iocp(&parameters);
    parameters.msg_lev = GLP_MSG_OFF;
    parameters.tol_int = 1e-7;
    parameters.tol_obj = 1e-9;
    parameters.mip_gap = std::clamp(options.integer_gap, 0.0, 1.0);
    parameters.tm_lim = deadline.milliseconds_left();
    parameters.cb_func = watch_search;
    parameters.cb_info = &search;
    const int code = glp_intopt(problem_, &parameters);

    Solution solution;
    // What was cut off the costs comes on top, for the least that there must be of each.
    if (search.bound) {
        double cut = 0;
        for (std::size_t c = 0; c < columns.size(); ++c) {
            const double off = program_.columns()[c].cost - cost_given(c);
            if (off != 0) cut += off * *program_.columns()[c].lower;
        }
        solution.bound = *search.bound / cost_scale_ + cut;
    }
    const int found = glp_mip_status(problem_);
    if (found == GLP_OPT || found == GLP_FEAS) {
        for (std::size_t c = 0; c < columns.size(); ++c) {
            const double x = glp_mip_col_val(problem_, one_based(c));
            solution.primal.push_back(without_minus_zero(columns[c].integer ? std::round(x) : x));
            solution.objective += columns[c].cost * solution.primal[c];
        }
    }
    if (code == GLP_ETMLIM || (code == GLP_ESTOP && !search.close_enough)) {
        solution.status = Status::limit;
        solution.message = code == GLP_ETMLIM         ? "the time limit was reached"
                           : search.out_of_iterations ? "the iteration limit was reached"
                                                      : "interrupted";
    } else if (code != 0 && code != GLP_EMIPGAP && code != GLP_ESTOP) {
        solution.message = reason(code);
    } else if (found == GLP_NOFEAS) {
        solution.status = Status::infeasible;
    } else if (found == GLP_OPT || (found == GLP_FEAS && solution.bound)) {
        solution.status = Status::optimal;
        if (found == GLP_OPT) solution.bound = solution.objective;
    } else {
        solution.message = "the solver gave no definite answer";
    }
    return solution;
}

Solution answer(Status status, std::string message = {}) {
    Solution solution;
    solution.status = status;
    solution.message = std::move(message);
    return solution;
}

// `program` without the demand for whole numbers, its integer columns' limits moved to whole
// numbers; nullopt when no whole number lies between them.
std::optional<LinearProgram> relaxed(const LinearProgram& program) {
    LinearProgram result = program;
    for (std::size_t c = 0; c < program.columns().size(); ++c) {
        const Column& column = program.columns()[c];
        if (!column.integer) continue;
        result.set_integer(c, false);
        // A limit within rounding of a whole number is meant to be that number.
        constexpr double rounding = 1e-9;
        std::optional<double> lower = column.lower;
        std::optional<double> upper = column.upper;
        if (lower) lower = std::ceil(*lower - rounding);
        if (upper) upper = std::floor(*upper + rounding);
        if (lower && upper && *lower > *upper) return std::nullopt;
        result.set_column_limits(c, lower, upper);
    }
    return result;
}

Solution solve_integer(const LinearProgram& program, const SolveOptions& options,
                       const Deadline& deadline) {
    auto continuous = relaxed(program);
    if (!continuous) return answer(Status::infeasible);
    Engine engine(*continuous, true, false);
    Solution root = engine.solve(options, deadline);
    if (root.status == Status::unbounded) {
        // There may yet be no point with whole numbers; without costs that can be told.
        LinearProgram free_of_cost = program;
        for (std::size_t c = 0; c < program.columns().size(); ++c)
            free_of_cost.set_cost(c, 0);
        const Solution any = solve_integer(free_of_cost, options, deadline);
        if (any.status == Status::optimal) return answer(Status::unbounded);
        return answer(any.status, any.message);
    }
    if (root.status != Status::optimal) {
        // A point that is not whole is none.
        return answer(root.status, root.message);
    }

    Solution found;
    try {
        found = engine.search_integers(program, options, deadline);
    } catch (const Error& error) {
        return answer(Status::failed, error.what());
    }
    found.iterations = root.iterations;
    if (found.primal.empty()) return found;

    // The whole numbers held, the rest is continuous again: exact whole numbers, an own optimum
    // for the rest, and the duals that go with it.
    for (std::size_t c = 0; c < program.columns().size(); ++c) {
        if (!program.columns()[c].integer) continue;
        continuous->set_column_limits(c, found.primal[c], found.primal[c]);
    }
    Engine held(*continuous, true, false);
    SolveOptions own = options;
    own.start = nullptr;
    own.interrupt = nullptr;
    const Deadline a_while(60);
    Solution best = held.solve(own, a_while);
    if (best.status != Status::optimal) {
        return answer(Status::failed, "the whole numbers found do not hold: " + best.message);
    }
    best.status = found.status;
    best.message = found.message;
    best.iterations += root.iterations;
    // The search and the last solve round differently; a bound above the cost would be absurd.
    if (found.bound) best.bound = std::min(*found.bound, best.objective);
    constexpr double tolerance = 1e-7;
    if (best.bound && certify(program, best).primal_residual > tolerance) {
        return answer(Status::failed, "the solver's answer did not pass the check");
    }
    return best;
}

}  // namespace

Solution solve(const LinearProgram& program, const SolveOptions& options) {
    const ThreadUse use;
    const Deadline deadline(options.time_limit_seconds);
    if (program.has_integers()) return solve_integer(program, options, deadline);
    Engine engine(program);
    return engine.solve(options, deadline);
}

struct Session::State {
    explicit State(const LinearProgram& given) : program(given), engine(program) {}

    ThreadUse use;
    LinearProgram program;
    Engine engine;
};

namespace {

const LinearProgram& continuous_only(const LinearProgram& program) {
    if (program.has_integers()) throw Error("a session cannot hold a program with integer columns");
    return program;
}

}  // namespace

Session::Session(const LinearProgram& program)
    : state_(std::make_unique<State>(continuous_only(program))) {}

Session::~Session() = default;

void Session::set_cost(std::size_t column, double cost) {
    state_->program.set_cost(column, cost);
}

void Session::set_row_limits(std::size_t row, std::optional<double> lower,
                             std::optional<double> upper) {
    state_->program.set_row_limits(row, lower, upper);
    state_->engine.update_row_limits(row);
}

void Session::set_column_limits(std::size_t column, std::optional<double> lower,
                                std::optional<double> upper) {
    state_->program.set_column_limits(column, lower, upper);
    state_->engine.update_column_limits(column);
}

void Session::add_row(Row row) {
    state_->program.add_row(std::move(row));
    state_->engine.update_last_row();
}

const LinearProgram& Session::program() const {
    return state_->program;
}

Solution Session::solve(const SolveOptions& options) {
    return state_->engine.solve(options, Deadline(options.time_limit_seconds));
}

}  // namespace feedwright::lp
