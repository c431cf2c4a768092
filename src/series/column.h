#pragma once

#include <atomic>
#include <cstddef>
#include <memory>
#include <span>
#include <utility>
#include <vector>

namespace cw {

/// Values that are made when somebody first looks at them: a column of a stored recording that lies
/// packed in a mapped file.
class LazyValues {
 public:
  virtual ~LazyValues() = default;
  virtual std::size_t size() const noexcept = 0;
  /// The values; made by the first call, the same for the life of the object. Thread-safe.
  virtual const float* data() const = 0;
};

/// The values of one channel: its own, or those of a stored recording, which are copied when they
/// are first written to.
///
/// Const access is thread-safe; the first one to stored values may allocate.
class Column {
 public:
  using value_type = float;
  using const_iterator = const float*;

  Column() = default;
  // A plain vector is a column everywhere one is expected.
  Column(std::vector<float> values) noexcept : own_(std::move(values)) {}  // NOLINT
  explicit Column(std::shared_ptr<const LazyValues> stored) noexcept : stored_(std::move(stored)) {}

  Column(const Column& other) : own_(other.own_), stored_(other.stored_) { take_view(other); }
  Column(Column&& other) noexcept : own_(std::move(other.own_)), stored_(std::move(other.stored_)) {
    take_view(other);
    other.view_.store(nullptr, std::memory_order_relaxed);
  }
  Column& operator=(const Column& other) {
    if (this != &other) *this = Column(other);
    return *this;
  }
  Column& operator=(Column&& other) noexcept {
    own_ = std::move(other.own_);
    stored_ = std::move(other.stored_);
    take_view(other);
    other.view_.store(nullptr, std::memory_order_relaxed);
    return *this;
  }
  ~Column() = default;

  std::size_t size() const noexcept { return stored_ == nullptr ? own_.size() : stored_->size(); }
  bool empty() const noexcept { return size() == 0; }
  const float* data() const { return stored_ == nullptr ? own_.data() : stored_data(); }
  float operator[](std::size_t i) const { return data()[i]; }
  const float* begin() const { return data(); }
  const float* end() const { return data() + size(); }
  float front() const { return data()[0]; }
  float back() const { return data()[size() - 1]; }

  /// From now on copies share the values, until one of them is written to. Not thread-safe.
  void share();

  /// The values for writing; stored ones are copied first. Not thread-safe.
  std::vector<float>& edit();
  float& operator[](std::size_t i) { return edit()[i]; }
  void push_back(float value) { edit().push_back(value); }
  void reserve(std::size_t size) { edit().reserve(size); }
  void resize(std::size_t size, float value = 0.0F) { edit().resize(size, value); }
  void assign(std::size_t size, float value) {
    stored_.reset();
    own_.assign(size, value);
  }

  /// Do they hold the same bits?
  friend bool operator==(const Column& a, const Column& b) noexcept;

 private:
  const float* stored_data() const {
    const float* view = view_.load(std::memory_order_acquire);
    if (view == nullptr) {
      view = stored_->data();
      view_.store(view, std::memory_order_release);
    }
    return view;
  }
  void take_view(const Column& other) noexcept {
    view_.store(other.view_.load(std::memory_order_relaxed), std::memory_order_relaxed);
  }

  std::vector<float> own_;
  std::shared_ptr<const LazyValues> stored_;  // not null: the values are its own
  mutable std::atomic<const float*> view_{nullptr};
};

}  // namespace cw
