#pragma once

#include <list>
#include <mutex>
#include <optional>
#include <string>

#include "twin/charge_view.h"

namespace cw::field::detail {

/// Looks of the twin at a charge in a season, kept: a form that is filled in asks for most of them
/// again after each change. A look depends on nothing but its key. Thread-safe.
class KeptViews {
 public:
  static constexpr std::size_t most = 96;  ///< own choice: eight worksheets of twelve

  /// Those of this process.
  static KeptViews& shared();

  /// The kept one, else what `make` gives, kept from then on.
  template <class Make>
  twin::ChargeView take(const std::string& key, Make&& make) {
    if (std::optional<twin::ChargeView> known = find(key)) return *known;
    twin::ChargeView view = make();
    keep(key, view);
    return view;
  }
  /// How many had to be made so far.
  std::size_t made() const;

 private:
  struct Kept {
    std::string key;
    twin::ChargeView view;
  };
  std::optional<twin::ChargeView> find(const std::string& key);
  void keep(const std::string& key, const twin::ChargeView& view);

  mutable std::mutex mutex_;
  std::list<Kept> kept_;  // latest used first
  std::size_t made_ = 0;
};

}  // namespace cw::field::detail
