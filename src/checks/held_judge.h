#pragma once

#include <functional>
#include <string>
#include <vector>

#include "checks/check.h"

namespace cw {

/// Judges one channel against limits with hold times: what most checks do. Used by the checks only.
class HeldJudge {
 public:
  /// @param channel  the judged channel; null makes the finding unproven
  /// @param mask     what the sample at an index of the time axis is to a hold
  HeldJudge(const CheckContext& context, std::string check, Place place, const Channel* channel,
            Side side, std::function<Mask(std::size_t)> mask);

  /// Replaces the channel's value in judging, for example by a distance from a set point. Returning
  /// nan leaves a sample out.
  void judge_value(Dimension dimension, std::function<double(std::size_t, double)> value);

  /// The limit at an index; by default constant. `hold` in s. Rules are added worst first.
  void rule(Verdict verdict, double limit, double hold);
  void rule(Verdict verdict, std::function<double(std::size_t)> limit, double hold,
            std::function<bool(std::size_t)> also = {}, std::string also_text = {});

  /// What a reading is called in sentences: "discharge superheat".
  std::string subject;
  /// What must be seen before ok: the total counted time and the longest run [s]; 0 asks nothing.
  double least_total = 0.0;
  double least_run = 0.0;
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
    std::function<double(std::size_t)> limit;
    double hold;
    std::function<bool(std::size_t)> also;
    std::string also_text;
  };

  std::vector<Sample> samples_for(const Rule& rule) const;
  void say_held(Finding& finding, const Rule& rule, const std::vector<Window>& windows) const;
  void say_ok(Finding& finding, const std::vector<Sample>& samples, const Rule& mildest) const;
  std::string nothing_seen() const;
  std::string show(double si) const { return format_si(si, dimension_, context_.units); }

  const CheckContext& context_;
  std::string check_;
  Place place_;
  const Channel* channel_;
  Side side_;
  std::function<Mask(std::size_t)> mask_;
  Dimension dimension_ = Dimension::temperature;
  std::function<double(std::size_t, double)> value_;
  std::vector<Rule> rules_;
  double beyond_share_ = 0.0;
  double longest_run_ = 0.0;
};

/// Masks for heating: steady heating counts; start-up, defrost and recovery pause; anything else
/// ends.
Mask heating_mask(PhaseKind kind) noexcept;

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

}  // namespace cw
