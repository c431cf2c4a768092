#pragma once

#include <map>
#include <span>
#include <string>
#include <string_view>
#include <vector>

/// What is known of causes beside the twin: words, priors, signatures, signs and tests. Data in
/// data/causes/; read once, then constant: thread-safe.
namespace cw::diagnose {

struct CauseText {
  std::string id, title, owner, look;
  double prior = 0.0;                                           ///< over all its places
  std::map<std::string, double, std::less<>> heating, cooling;  ///< trait: sign of change
  std::map<std::string, double, std::less<>> signs;             ///< check id: logarithm of odds
};

struct TestText {
  std::string id, what;
  double effort_min = 0.0;
  double otherwise = 0.0;                          ///< probability of yes without any of `yes`
  std::map<std::string, double, std::less<>> yes;  ///< cause id: probability of yes
};

struct CauseBook {
  std::vector<CauseText> causes;  ///< one for each CauseKind, in its order
  std::vector<TestText> tests;
  double healthy_prior = 0.5, unknown_prior = 0.02;
  std::string prior_source;
  double temperature = 1.0;  ///< of the calibration
  double call_above = 0.5;   ///< probability of "healthy" under which a cause is named
  /// The same where the sound machine was learnt from an earlier recording.
  double call_above_sound = 0.1;
  std::string fitted_on;

  const CauseText& text_of(std::string_view cause) const;
};

const CauseBook& cause_book();

}  // namespace cw::diagnose
