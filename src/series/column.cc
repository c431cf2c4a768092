#include "series/column.h"

#include <cstring>

namespace cw {

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
