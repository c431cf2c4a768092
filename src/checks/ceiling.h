#pragma once

#include <string>
#include <vector>

#include "checks/check.h"

namespace cw {

/// Whether the compressor of a module works as fast as it may.
struct CeilingTrack {
  std::vector<bool> at;  ///< [n_time]
  std::string text;      ///< " with the compressor at its ceiling", for sentences
  bool known = false;    ///< the log shows a ceiling; false: `at` is false throughout
};

/// The ceiling is the log's compressor_frequency_limit (of the compressor, else of its module or
/// the system) or a load of nearly 100 %; without either the highest frequency that the log shows,
/// when the log shows the compressor clearly slower, too. A module is at its ceiling while one of
/// its compressors is.
CeilingTrack track_ceiling(const CheckContext& context, const Place& module);

}  // namespace cw
