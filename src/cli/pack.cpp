// SPDX-License-Identifier: GPL-3.0-or-later
// Build-time tool: packs the library folder for the program to carry. See catalog/snapshot.hpp.
#include "base/file.hpp"
#include "catalog/library.hpp"
#include "catalog/snapshot.hpp"

#include <exception>
#include <iostream>

int main(int argc, char** argv) {
    if (argc != 3) {
        std::cerr << "usage: feedwright-pack DATA-FOLDER OUTPUT\n";
        return 2;
    }
    try {
        feedwright::catalog::Library library(argv[1]);
        feedwright::base::write_file(argv[2], feedwright::catalog::pack(library));
        return 0;
    } catch (const std::exception& error) {
        std::cerr << "feedwright-pack: " << error.what() << '\n';
        return 1;
    }
}
