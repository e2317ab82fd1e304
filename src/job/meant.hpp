// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/library.hpp"
#include "job/job.hpp"

#include <string>
#include <vector>

namespace feedwright::job {

/// What a file or an option means by a word for an ingredient.
struct Meant {
    std::string id;        ///< empty: it must be asked, or it is none
    bool by_name = false;  ///< by another word than the id
    catalog::Meaning meaning{};
};

/// The ingredient that `written` stands for: an id of the job or of the library, the name of an
/// ingredient of the job's own, or a name that stands for one ingredient of the library. Of a name
/// that may be several, the one that the job has counts where `in_use`: the word then speaks of
/// what is there already, and does not bring in another.
Meant meant_by(const Job& job, catalog::Library& library, const std::string& written, bool in_use);

/// The note that tells of it.
Note note_on(const Meant& meant, const std::string& written, const Job& job,
             catalog::Library& library);

/// The id of the ingredient of `job` that an option names, with a note where that is done by
/// another word; `written` itself where it names none of them.
std::string named_in(Job& job, catalog::Library& library, const std::string& written);

/// The id of the library's premix that is made for an animal, the nearest of several; "" where
/// there is none.
std::string premix_for(const catalog::Animal& animal, catalog::Library& library);

/// Why a word is no ingredient, for a message: what was found, what is expected, what to do.
struct NotMeant {
    std::string found;
    std::string expected;
    std::string hint;
    bool is_near = false;  ///< it names an ingredient, or nearly: it has to be asked about
};
NotMeant not_meant(const std::vector<std::string>& job_ids, catalog::Library& library,
                   const std::string& written, const catalog::Meaning& meaning);

}  // namespace feedwright::job
