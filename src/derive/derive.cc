#include "derive/derive.h"

#include <cmath>

#include "base/contract.h"
#include "base/text.h"
#include "base/unit_text.h"
#include "fluid/saturation.h"

namespace cw {
namespace {

const Quantity& quantity(std::string_view name) {
  const Quantity* found = find_quantity(name);
  CW_REQUIRE(found != nullptr);
  return *found;
}

/// Collects derived channels; the recording's list must not grow while its channels are read.
class Deriver {
 public:
  Deriver(Recording& recording, const fluid::Refrigerant& refrigerant, DeriveNotes& notes)
      : recording_(recording), refrigerant_(refrigerant), notes_(notes) {}

  void run() {
    std::vector<Place> places = recording_.places(PlaceKind::outdoor);
    for (const Place& place : recording_.places(PlaceKind::compressor)) places.push_back(place);
    for (const Place& place : recording_.places(PlaceKind::system)) places.push_back(place);
    for (const Place& place : places) saturation(place);
    publish();
    for (const Place& place : places) differences(place);
    publish();
  }

 private:
  using Saturation = double (*)(const fluid::Refrigerant&, double) noexcept;

  void saturation(const Place& place) {
    from_pressure(place, "discharge_pressure", "saturated_condensing_temperature");
    from_pressure(place, "suction_pressure", "saturated_evaporating_temperature");
    if (recording_.find(place.text, "pressure_ratio") == nullptr) {
      combine(place, "pressure_ratio", "discharge_pressure", "suction_pressure",
              "discharge pressure / suction pressure",
              [](double high, double low) { return low > 0.0 ? high / low : std::nan(""); });
    }
  }

  void differences(const Place& place) {
    constexpr const char* sct = "saturated_condensing_temperature";
    constexpr const char* set = "saturated_evaporating_temperature";
    const auto difference = [](double a, double b) { return a - b; };
    combine(place, "discharge_superheat", "discharge_temperature", sct,
            "discharge temperature - saturated condensing temperature", difference);
    combine(place, "shell_superheat", "shell_temperature", set,
            "shell temperature - saturated evaporating temperature", difference);
    combine(place, "suction_superheat", "suction_temperature", set,
            "suction temperature - saturated evaporating temperature", difference);
    const fluid::Refrigerant& refrigerant = refrigerant_;
    combine(place, "subcooling", "liquid_temperature", "discharge_pressure",
            "bubble temperature at the discharge pressure - liquid temperature",
            [&refrigerant](double liquid, double p) {
              return fluid::bubble_temperature_or_nan(refrigerant, p) - liquid;
            });
  }

  void from_pressure(const Place& place, std::string_view from, std::string_view to) {
    if (recording_.find(place.text, to) != nullptr) return;
    const Channel* pressure = recording_.find(place.text, from);
    if (pressure == nullptr) return;
    Channel out =
        start(place, to,
              "dew temperature of " + std::string(refrigerant_.name()) + " at " + pressure->name());
    std::size_t outside = 0;
    for (std::size_t i = 0; i < out.values.size(); ++i) {
      const float p = pressure->values[i];
      if (is_missing(p)) continue;
      const double t = fluid::dew_temperature_or_nan(refrigerant_, static_cast<double>(p));
      if (std::isnan(t)) ++outside;
      out.values[i] = static_cast<float>(t);
    }
    if (outside > 0) {
      const fluid::PressureRange range = fluid::saturation_range(refrigerant_);
      notes_.notes.push_back(pressure->name() + ": " + std::to_string(outside) +
                             (outside == 1 ? " reading lies" : " readings lie") +
                             " outside the saturation range of " +
                             std::string(refrigerant_.name()) + " (" +
                             format_si(range.lowest, Dimension::pressure, UnitSystem::si) + " to " +
                             format_si(range.highest, Dimension::pressure, UnitSystem::si) +
                             "); there is no saturation temperature there.");
    }
    fresh_.push_back(std::move(out));
  }

  /// out[i] = f(first[i], second at that time), wherever `first` has a reading.
  template <class F>
  void combine(const Place& place, std::string_view to, std::string_view first_name,
               std::string_view second_name, std::string formula, F f) {
    if (recording_.find(place.text, to) != nullptr) return;
    const Channel* first = recording_.find(place.text, first_name);
    const Channel* second = recording_.find_upward(place, second_name);
    if (first == nullptr || second == nullptr) return;
    Channel out = start(place, to, std::move(formula));
    Follower follower(recording_, second);
    for (std::size_t i = 0; i < out.values.size(); ++i) {
      const float b = follower.at(i);
      const float a = first->values[i];
      if (is_missing(a) || is_missing(b)) continue;
      out.values[i] = static_cast<float>(f(static_cast<double>(a), static_cast<double>(b)));
    }
    fresh_.push_back(std::move(out));
  }

  Channel start(const Place& place, std::string_view name, std::string origin) const {
    Channel out;
    out.place = place;
    out.quantity = &quantity(name);
    out.values.assign(recording_.size(), missing);
    out.origin = std::move(origin);
    return out;
  }

  void publish() {
    for (Channel& channel : fresh_) {
      measure_interval(recording_, channel);
      notes_.derived.push_back(channel.name());
      recording_.channels.push_back(std::move(channel));
    }
    fresh_.clear();
  }

  Recording& recording_;
  const fluid::Refrigerant& refrigerant_;
  DeriveNotes& notes_;
  std::vector<Channel> fresh_;
};

}  // namespace

void derive_channels(Recording& recording, const fluid::Refrigerant& refrigerant,
                     DeriveNotes& notes) {
  Deriver(recording, refrigerant, notes).run();
}

}  // namespace cw
