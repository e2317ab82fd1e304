// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

// Every test includes Catch2 through this file, so that a change of its version is a change here.
#include <catch2/catch.hpp>
