#pragma once

/// Contracts for mistakes of *code*, never of data: a wrong file or a wrong number from a person is
/// a Result with an Error. Both stop the program with the place and the condition.
///
/// CW_REQUIRE  always on: the caller broke the documented contract.
/// CW_ASSERT   builds without NDEBUG: our own invariant is broken.
namespace cw {
[[noreturn]] void contract_failed(const char* kind, const char* condition, const char* file,
                                  int line) noexcept;
}  // namespace cw

#define CW_REQUIRE(condition)         \
  ((condition) ? static_cast<void>(0) \
               : ::cw::contract_failed("requirement", #condition, __FILE__, __LINE__))

#ifdef NDEBUG
#define CW_ASSERT(condition) static_cast<void>(0)
#else
#define CW_ASSERT(condition)          \
  ((condition) ? static_cast<void>(0) \
               : ::cw::contract_failed("invariant", #condition, __FILE__, __LINE__))
#endif
