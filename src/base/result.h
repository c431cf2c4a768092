#pragma once

#include <string>
#include <type_traits>
#include <utility>
#include <variant>

#include "base/contract.h"

namespace cw {

/// What kind of thing went wrong; the text for people is in Error.
enum class ErrorCode {
  invalid_argument,  ///< a value that makes no sense (a negative length, end before start)
  parse,             ///< text that could not be read as what it should be
  unit,              ///< unknown unit, or a unit of another dimension
  out_of_range,      ///< outside the stated range of a model or table
  not_found,         ///< a file, refrigerant, channel or option that does not exist
  unreadable,        ///< a file that exists and cannot be read as a recording
  unsupported,       ///< a thing that is known and not available here
  no_convergence,    ///< an iteration ended without an answer
  inconsistent,      ///< inputs that contradict each other
};

/// The short name of a code, as JSON carries it ("out_of_range").
const char* name_of(ErrorCode code) noexcept;

/// An error that a person can act on: what happened, where, how to mend it.
struct Error {
  ErrorCode code = ErrorCode::invalid_argument;
  std::string message;  ///< what happened, with the values that matter
  std::string where;    ///< file:line, option or procedure; empty when the caller knows it
  std::string fix;      ///< what the person can do about it; empty when nothing can be said

  /// "where: message. fix" on one line.
  std::string text() const;
};

/// A value or an Error. Nothing is thrown across a module boundary: functions that data or a person
/// can make fail return this. Reading the wrong side is a broken contract and stops the program.
template <class T>
class [[nodiscard]] Result {
  static_assert(!std::is_same_v<std::remove_cv_t<T>, Error>, "Result<Error> has no meaning");

 public:
  using value_type = T;

  Result(T value)
      : state_(std::in_place_index<0>, std::move(value)) {}  // NOLINT(google-explicit-constructor)
  Result(Error error)
      : state_(std::in_place_index<1>, std::move(error)) {}  // NOLINT(google-explicit-constructor)

  bool has_value() const noexcept { return state_.index() == 0; }
  explicit operator bool() const noexcept { return has_value(); }

  T& value() & {
    CW_REQUIRE(has_value());
    return *std::get_if<0>(&state_);
  }
  const T& value() const& {
    CW_REQUIRE(has_value());
    return *std::get_if<0>(&state_);
  }
  T&& value() && {
    CW_REQUIRE(has_value());
    return std::move(*std::get_if<0>(&state_));
  }
  T& operator*() & { return value(); }
  const T& operator*() const& { return value(); }
  T&& operator*() && { return std::move(*this).value(); }
  T* operator->() { return &value(); }
  const T* operator->() const { return &value(); }

  Error& error() & {
    CW_REQUIRE(!has_value());
    return *std::get_if<1>(&state_);
  }
  const Error& error() const& {
    CW_REQUIRE(!has_value());
    return *std::get_if<1>(&state_);
  }
  Error&& error() && {
    CW_REQUIRE(!has_value());
    return std::move(*std::get_if<1>(&state_));
  }

  T value_or(T fallback) const& { return has_value() ? value() : std::move(fallback); }

  /// Applies `f` to the value; an error passes through unchanged.
  template <class F>
  auto map(F&& f) const& -> Result<std::invoke_result_t<F, const T&>> {
    if (!has_value()) return error();
    return std::forward<F>(f)(value());
  }
  /// Applies `f`, which returns a Result itself; an error passes through unchanged.
  template <class F>
  auto and_then(F&& f) const& -> std::invoke_result_t<F, const T&> {
    if (!has_value()) return error();
    return std::forward<F>(f)(value());
  }

 private:
  std::variant<T, Error> state_;
};

/// Success without a value.
struct Done {};
using Status = Result<Done>;

}  // namespace cw
