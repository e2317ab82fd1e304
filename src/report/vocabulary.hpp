// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/document.hpp"

// A report speaks of tables and paragraphs on every line; here it may call them by their own names.
namespace feedwright::report {

using document::Align;
using document::BarPlot;
using document::Block;
using document::Bullets;
using document::Cell;
using document::Depth;
using document::Document;
using document::Facts;
using document::Heading;
using document::LinePlot;
using document::Paragraph;
using document::Table;
using document::TableColumn;
using document::Tone;

}  // namespace feedwright::report
