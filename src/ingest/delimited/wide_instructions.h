#pragma once

// The vector instructions of newer x86-64 processors, for functions that say with
// __attribute__((target(...))) which of them they use. Included by source files only, before
// anything that uses them.
#if defined(__GNUC__) && defined(__x86_64__)
#if !defined(__clang__)
// The compiler's own header makes vectors of no value so that it warns of itself (GCC 12).
#pragma GCC diagnostic ignored "-Wmaybe-uninitialized"
#pragma GCC diagnostic ignored "-Wuninitialized"
#endif
#include <immintrin.h>
#define CW_HAS_WIDE_INSTRUCTIONS 1
#endif
