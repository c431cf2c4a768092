#include "ingest/source_lines.h"

#include "ingest/header.h"

namespace cw {

std::uint32_t SourceLines::find(std::size_t line, std::string_view column) const {
  if (same || line == 0) return static_cast<std::uint32_t>(line);
  if (!column.empty()) {
    const auto found = of_column.find(without_twin(column));
    if (found != of_column.end()) return found->second;
  }
  return line <= of_line.size() ? of_line[line - 1] : 0;
}

void put_source_lines(const SourceLines& source, ImportLog& log, std::vector<SourceTable>& tables) {
  if (source.same) return;
  log.renumber([&](Reject& reject) {
    const std::size_t made = reject.line;
    reject.line = source.find(made, reject.column);
    if (reject.line == 0 && made > 1) {
      reject.reason = "row " + std::to_string(made - 1) + " of the table: " + reject.reason;
    }
  });
  for (SourceTable& table : tables) {
    for (std::uint32_t& line : table.line) line = source.find(line, {});
  }
}

}  // namespace cw
