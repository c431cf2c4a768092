#include "report/check_report.h"
namespace cw {
std::string check_html(const CheckReport&) { return {}; }
}  // namespace cw
