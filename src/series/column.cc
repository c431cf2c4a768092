#include "series/column.h"

#include <cstring>

namespace cw {
namespace {

/// Values that lie ready.
class ReadyValues : public LazyValues {
 public:
  explicit ReadyValues(std::vector<float> values) noexcept : values_(std::move(values)) {}
  std::size_t size() const noexcept override { return values_.size(); }
  const float* data() const override { return values_.data(); }

 private:
  std::vector<float> values_;
};

}  // namespace

void Column::share() {
  if (stored_ == nullptr) *this = Column(std::make_shared<const ReadyValues>(std::move(own_)));
}

std::vector<float>& Column::edit() {
  if (stored_ != nullptr) {
    own_.assign(data(), data() + size());
    stored_.reset();
    view_.store(nullptr, std::memory_order_relaxed);
  }
  return own_;
}

bool operator==(const Column& a, const Column& b) noexcept {
  if (a.size() != b.size()) return false;
  return a.empty() || std::memcmp(a.data(), b.data(), a.size() * sizeof(float)) == 0;
}

}  // namespace cw
