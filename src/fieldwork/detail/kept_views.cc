#include "fieldwork/detail/kept_views.h"

#include <algorithm>

namespace cw::field::detail {

KeptViews& KeptViews::shared() {
  static KeptViews views;
  return views;
}

std::size_t KeptViews::made() const {
  const std::lock_guard lock(mutex_);
  return made_;
}

std::optional<twin::ChargeView> KeptViews::find(const std::string& key) {
  const std::lock_guard lock(mutex_);
  const auto found =
      std::find_if(kept_.begin(), kept_.end(), [&](const Kept& k) { return k.key == key; });
  if (found == kept_.end()) return std::nullopt;
  kept_.splice(kept_.begin(), kept_, found);
  return kept_.front().view;
}

void KeptViews::keep(const std::string& key, const twin::ChargeView& view) {
  const std::lock_guard lock(mutex_);
  ++made_;
  kept_.push_front({key, view});
  if (kept_.size() > most) kept_.pop_back();
}

}  // namespace cw::field::detail
