#pragma once

#include <cstdint>
#include <cstring>
#include <string>
#include <string_view>
#include <type_traits>

namespace cw {

/// Writes numbers and texts one behind the other, little-endian as the machine has them.
class ByteWriter {
 public:
  template <class T>
  void number(T value) {
    static_assert(std::is_arithmetic_v<T>);
    char bytes[sizeof value];
    std::memcpy(bytes, &value, sizeof value);
    out_.append(bytes, sizeof bytes);
  }
  void size(std::size_t value) { number(static_cast<std::uint64_t>(value)); }
  void text(std::string_view value) {
    size(value.size());
    out_.append(value);
  }
  const std::string& bytes() const { return out_; }

 private:
  std::string out_;
};

/// Reads what ByteWriter wrote. After a read beyond the end all reads give zeros and ok() is false.
class ByteReader {
 public:
  explicit ByteReader(std::string_view bytes) : rest_(bytes) {}

  template <class T>
  T number() {
    static_assert(std::is_arithmetic_v<T>);
    T value{};
    if (rest_.size() < sizeof value) {
      fail();
      return value;
    }
    std::memcpy(&value, rest_.data(), sizeof value);
    rest_.remove_prefix(sizeof value);
    return value;
  }
  std::size_t size() { return static_cast<std::size_t>(number<std::uint64_t>()); }
  /// A number of things of which each takes at least `least` bytes: more than fit is an error, so
  /// that a broken count never allocates.
  std::size_t count(std::size_t least) {
    const std::size_t n = size();
    if (n > rest_.size() / least) {
      fail();
      return 0;
    }
    return n;
  }
  std::string text() {
    const std::size_t n = count(1);
    std::string out(rest_.substr(0, n));
    rest_.remove_prefix(n);
    return out;
  }
  bool ok() const { return ok_; }

 private:
  void fail() {
    ok_ = false;
    rest_ = {};
  }
  std::string_view rest_;
  bool ok_ = true;
};

}  // namespace cw
