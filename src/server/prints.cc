#include "server/prints.h"

#include <chrono>

#include "print/print_pdf.h"
#include "server/gate.h"

namespace cw::server {
namespace {

constexpr std::size_t kept = 4;  // own choice: some 0.3 MB each

}  // namespace

Result<Paper> paper_of(const Call& call, UnitSystem units) {
  Result<Paper> paper = read_paper(call.value("paper"), units);
  if (!paper) paper.error().where = "paper";
  return paper;
}

Result<std::string> Prints::make(const std::string& recording, std::string_view page, Watch watch) {
  std::unique_lock turn(printing_, std::defer_lock);
  while (!turn.try_lock_for(std::chrono::milliseconds(50))) {
    if (watch.stopped()) return stopped();
  }
  if (watch.job != nullptr) watch.job->progress(-1.0, "printing the report");
  Result<std::string> pdf = print::print_pdf(page, [watch] { return watch.stopped(); });
  if (!pdf) return pdf.error();
  const std::lock_guard lock(mutex_);
  made_.push_front({recording, random_name(12), std::move(*pdf)});
  if (made_.size() > kept) made_.pop_back();
  return made_.front().id;
}

std::optional<std::string> Prints::find(const std::string& recording, const std::string& id) const {
  const std::lock_guard lock(mutex_);
  for (const Print& print : made_) {
    if (print.recording == recording && print.id == id) return print.pdf;
  }
  return std::nullopt;
}

}  // namespace cw::server
