#pragma once

#include <string>
#include <utility>
#include <vector>

#include "checks/check.h"

namespace cw {

/// A comparison of places needs no more moments than some thousands, spread over the recording:
/// every how many samples one is looked at.
std::size_t comparison_stride(const Recording& recording);

/// How far one place stood from its peers, at the moments at which they could be compared.
class Deviations {
 public:
  /// @param channel  never null; its interval says how much time a moment stands for
  Deviations(Place place, const Channel* channel) : place_(std::move(place)), channel_(channel) {}

  const Place& place() const { return place_; }
  const Channel& channel() const { return *channel_; }
  bool empty() const { return values_.empty(); }

  void add(Instant now, double by);
  double median() const;  ///< nan without any
  /// Time that the moments stand for [s].
  double seconds(const Recording& recording) const;

  /// A finding, ok as long as nobody says otherwise, whose measure is the deviation against peers.
  /// @param guard  what the sensors can tell of it [SI]
  /// @param limit  allowed to either side [SI]
  Finding finding(const CheckContext& context, std::string check, double guard, double limit) const;
  /// Makes it watch, with the time of the moments as evidence.
  void to_watch(Finding& finding, double limit) const;

 private:
  Place place_;
  const Channel* channel_ = nullptr;
  std::vector<double> values_;
  Instant first_;
  Instant last_;
};

/// Readings of several places at one moment.
struct Moment {
  std::vector<std::size_t> who;
  std::vector<double> what;

  void add(std::size_t k, double value) {
    who.push_back(k);
    what.push_back(value);
  }
  /// Median of the readings.
  double middle() const;
  /// Mean of the others than the n-th of them.
  double others(std::size_t n) const;
};

}  // namespace cw
