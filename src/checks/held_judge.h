#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "checks/check.h"
#include "checks/masks.h"

namespace cw {

/// Judges one channel against limits with hold times: what most checks do. Used by the checks only.
///
/// A limit is held when readings stay beyond it for the hold time, and it makes a finding only when
/// they would do so with the sensors off by `guard`, too: what lies between is unproven.
class HeldJudge {
 public:
  /// @param channel  the judged channel; null makes the finding unproven
  /// @param side     of the rules that name none
  /// @param masks    [n_time] what the sample at an index of the time axis is to a hold
  HeldJudge(const CheckContext& context, std::string check, Place place, const Channel* channel,
            Side side, std::vector<Mask> masks);

  /// Replaces the channel's value in judging, for example by a distance from a set point. Returning
  /// nan leaves a sample out. Indices do not decrease from call to call.
  void judge_value(Dimension dimension, std::function<double(std::size_t, double)> value);
  /// As above, of a name and an uncertainty of its own.
  void judge_value(std::string name, Dimension dimension, double uncertainty,
                   std::function<double(std::size_t, double)> value);

  /// The limit at an index; by default constant. `hold` in s. Rules are added worst first.
  void rule(Verdict verdict, double limit, double hold);
  void rule(Verdict verdict, Side side, double limit, double hold);
  void rule(Verdict verdict, std::function<double(std::size_t)> limit, double hold,
            std::function<bool(std::size_t)> also = {}, std::string also_text = {});

  /// The rules that the limit sheet has for a check: fault_above and fault_below with fault_hold,
  /// watch_above and watch_below with watch_hold, as far as they exist.
  void rules_of_sheet();
  /// What ok asks for: observation.least in all, watch_hold without an end, and the sentence for
  /// what must be recorded.
  void asks_for(const std::string& channels);

  /// What a reading is called in sentences: "discharge superheat".
  std::string subject;
  /// What must be seen before ok: the total counted time and the longest run [s]; 0 asks nothing.
  double least_total = 0.0;
  double least_run = 0.0;
  /// What the sensors cannot tell; by default the channel's uncertainty [SI of the judged value].
  double guard = 0.0;
  /// Named in unproven sentences: "steady heating", "steady heating while the unit calls".
  std::string condition = "steady heating";
  /// What to record, for unproven.
  std::string proof;

  Finding finish();

  /// After finish(): share of the counted readings beyond the mildest limit, 0..1, and the longest
  /// counted run [s].
  double beyond_share() const noexcept { return beyond_share_; }
  double longest_run() const noexcept { return longest_run_; }

 private:
  struct Rule {
    Verdict verdict;
    Side side;
    std::function<double(std::size_t)> limit;
    double hold;
    std::function<bool(std::size_t)> also;
    std::string also_text;
    std::optional<double> constant;  ///< the limit, where it is one
  };

  /// The channel's readings with masks and judged values; fills index_.
  std::vector<Sample> take_samples();
  /// Sets limit and beyond of every counted sample, the limit moved outwards by `margin`.
  /// @returns  is any sample beyond?
  bool apply(const Rule& rule, double margin, std::vector<Sample>& samples) const;
  /// Windows of a rule; those that the sensors could have made are moved to `near`.
  std::vector<Window> windows_of(const Rule& rule, std::vector<Sample>& samples,
                                 std::vector<Window>& near) const;
  Measure measure(const std::vector<Sample>& samples) const;
  void say_held(Finding& finding, const Rule& rule, const std::vector<Window>& windows) const;
  std::string near_text(const Rule& rule, const std::vector<Window>& windows) const;
  void say_ok(Finding& finding, const std::vector<Sample>& samples) const;
  Finding finish_instant(Finding finding, std::vector<Sample>& samples) const;
  Finding open(const Finding& finding, std::string because) const;
  std::string nothing_seen() const;
  /// The mildest rule of each side that has one.
  std::vector<const Rule*> mildest() const;
  std::string show(double si) const;
  std::string show_guard() const;
  double longest_step() const;
  double longest_pause() const { return context_.limits.value("observation.longest_pause"); }

  const CheckContext& context_;
  std::string check_;
  Place place_;
  const Channel* channel_;
  Side side_;
  std::vector<Mask> masks_;
  Dimension dimension_ = Dimension::temperature;
  std::string name_;
  std::function<double(std::size_t, double)> value_;
  std::vector<Rule> rules_;
  std::vector<std::size_t> index_;  ///< of each sample on the time axis
  double beyond_share_ = 0.0;
  double longest_run_ = 0.0;
};

/// The places of one module at which a quantity is judged: its compressors that have the channel,
/// or the module itself (which may lack it).
std::vector<Place> judged_places(const Recording& recording, const Place& module,
                                 std::string_view quantity);

/// The first of `quantities` that neither the place nor its module nor the system has, as words for
/// "No ... in the log"; the last one when all are there.
std::string missing_input(const Recording& recording, const Place& place,
                          const std::vector<std::string_view>& quantities);

/// The outdoor modules of the recording; where there are none, the place "system".
std::vector<Place> modules_of(const CheckContext& context);

/// A finding that could not be made.
Finding unproven(std::string check, Place place, std::string because, std::string proof);

/// A finding about the whole system.
Place whole_system();

/// The value that a share (0..1) of `values` does not exceed; 0.5 is the median. Reorders them; nan
/// without any.
double percentile_of(std::vector<double>& values, double share);

}  // namespace cw
