// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"

namespace feedwright::job {

/// Puts a note into `job.notes` for every price that is 20 times the median of its neighbours: most
/// often a decimal point that slipped, or the price of a bag taken for that of a kg. Neighbours are
/// the priced ingredients of the same category where there are two, else all others of the list;
/// what is dear by nature (premixes, free amino acids, vitamin C, acids, binders, yeast and algae)
/// is held against its own category only. A price below zero is noted too: one is paid to take it.
/// Nothing is refused, for prices are what they are. Notes
/// of an earlier call are taken out first.
void note_prices(Job& job);

}  // namespace feedwright::job
