#pragma once

#include "base/result.h"
#include "base/units.h"
#include "fieldwork/form.h"
#include "fieldwork/sheet.h"

namespace cw::field::detail {

/// What both halves of the evacuation sheet share.
struct EvacuationSite {
  CubicMetre volume;
  Kelvin coldest;      ///< coldest part
  Kelvin temperature;  ///< of most of the gas
  Pascal barometer;
  bool coldest_known = false;
};

Status read_evacuation_site(const Form& form, const Site& site, EvacuationSite& out);
void add_site_inputs(const Form& form, const EvacuationSite& place, const Site& site,
                     FieldSheet& sheet);

/// The rise: fit, verdict, water, acceptance by a chosen rule, what to do next.
Status add_rise(const Form& form, const EvacuationSite& place, UnitSystem units, FieldSheet& sheet);

/// The pump-down: time, what throttles, ultimate pressure.
Status add_pump_down(const Form& form, const EvacuationSite& place, UnitSystem units,
                     FieldSheet& sheet);

}  // namespace cw::field::detail
