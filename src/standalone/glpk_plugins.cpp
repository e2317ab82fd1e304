// SPDX-License-Identifier: GPL-3.0-or-later
// GLPK loads database drivers through libltdl when a model in its own language asks for tables of
// one. Nothing here reads such models, and a program without shared libraries can load none: these
// stand in for libltdl and say that nothing was found.

// Names and types are libltdl's.
// NOLINTBEGIN(readability-identifier-naming)
extern "C" {
int lt_dlinit();
int lt_dlexit();
void* lt_dlopen(const char* name);
int lt_dlclose(void* handle);
void* lt_dlsym(void* handle, const char* name);
const char* lt_dlerror();
}

int lt_dlinit() {
    return 1;
}
int lt_dlexit() {
    return 0;
}
void* lt_dlopen(const char* /*name*/) {
    return nullptr;
}
int lt_dlclose(void* /*handle*/) {
    return 0;
}
void* lt_dlsym(void* /*handle*/, const char* /*name*/) {
    return nullptr;
}
const char* lt_dlerror() {
    return "this program loads no libraries";
}
// NOLINTEND(readability-identifier-naming)
