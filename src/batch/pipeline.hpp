// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "batch/lists.hpp"

#include <algorithm>
#include <condition_variable>
#include <cstddef>
#include <exception>
#include <mutex>
#include <optional>
#include <system_error>
#include <thread>
#include <utility>
#include <vector>

namespace feedwright::batch {

/// Works on the pieces of `lists` in `threads` threads and hands the results on in order.
///
/// Each thread calls `make_work()` once and what it returns for every piece it gets; `deliver` gets
/// the results, one call at a time. No more than a fixed number of pieces is under way or waiting,
/// so memory does not grow with the lists. The first exception of any of them ends it all and is
/// thrown here.
template <class Result, class MakeWork, class Deliver>
void run_in_order(Lists& lists, unsigned threads, const MakeWork& make_work,
                  const Deliver& deliver) {
    const std::size_t window = std::size_t{4} * std::max(1U, threads);
    std::mutex reading;
    std::size_t read = 0;

    std::mutex writing;
    std::condition_variable moved_on;
    std::vector<std::optional<Result>> waiting(window);
    std::size_t delivered = 0;
    bool delivering = false;
    bool stop = false;
    std::exception_ptr failure;

    const auto fail = [&] {
        const std::lock_guard lock(writing);
        if (!failure) failure = std::current_exception();
        stop = true;
        moved_on.notify_all();
    };
    const auto work_on = [&]() noexcept {
        try {
            auto work = make_work();
            Piece piece;
            while (true) {
                std::size_t number = 0;
                {
                    const std::lock_guard lock(reading);
                    if (!lists.next(piece)) return;
                    piece.fetched = lists.fetched();
                    number = read++;
                }
                {
                    std::unique_lock lock(writing);
                    moved_on.wait(lock, [&] { return stop || number < delivered + window; });
                    if (stop) return;
                }
                Result result = work(piece);
                std::unique_lock lock(writing);
                waiting[number % window] = std::move(result);
                // One thread delivers, the others go on: writing takes time too.
                if (delivering) continue;
                delivering = true;
                while (!stop && waiting[delivered % window]) {
                    Result next = std::move(*waiting[delivered % window]);
                    waiting[delivered % window].reset();
                    ++delivered;
                    moved_on.notify_all();
                    lock.unlock();
                    deliver(std::move(next));
                    lock.lock();
                }
                delivering = false;
            }
        } catch (...) {
            fail();
        }
    };

    if (threads <= 1) {
        work_on();
    } else {
        std::vector<std::jthread> workers;
        try {
            for (unsigned t = 0; t < threads; ++t)
                workers.emplace_back(work_on);
        } catch (const std::system_error&) {
            // The system gives no more threads; those there are do the work.
            if (workers.empty()) throw;
        }
    }
    if (failure) std::rethrow_exception(failure);
}

}  // namespace feedwright::batch
