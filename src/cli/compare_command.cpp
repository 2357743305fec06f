#include "cli/compare_command.h"

#include <ostream>

#include <fmt/format.h>

#include "cli/problems.h"
#include "cli/table.h"
#include "stations/movements.h"
#include "stations/prove.h"
#include "stations/report_json.h"

namespace fettle::cli {
namespace {

using stations::Finding;
using stations::Movement;

constexpr std::size_t columns = 80;

std::string standing(const Finding* finding, const TableOptions& options) {
  if (finding == nullptr) {
    return "not there";
  }
  return finding_value(*finding, options) +
         (finding->verdict ? fmt::format(" {}", metrology::name(*finding->verdict)) : "");
}

std::string difference_text(const std::vector<Movement>& moved, const TableOptions& options) {
  std::string text;
  for (const Movement& one : moved) {
    const Finding& named = one.to != nullptr ? *one.to : *one.from;
    text += "  " +
            wrapped(fmt::format("{}: {} -> {}", finding_title(named, options), standing(one.from, options),
                                standing(one.to, options)),
                    columns - 2, 4) +
            "\n";
  }
  return text.empty() ? "  No finding differs.\n" : text;
}

}  // namespace

int compare_command(const CompareRequest& request, std::istream& in, std::ostream& out, std::ostream& err) {
  const auto from = read_build_file(request.from, request.json, in, out, err);
  const auto to = from ? read_build_file(request.to, request.json, in, out, err) : std::nullopt;
  if (!from || !to) {
    return 2;
  }
  const stations::Report before = stations::prove(*from, {.advise = false});
  const stations::Report after = stations::prove(*to, {.advise = false});
  const auto moved = stations::movements_between(before, after);
  if (request.json) {
    out << "{\"moved\":" << stations::movements_json(moved) << "}\n";
  } else {
    out << fmt::format("{} -> {}: {} findings differ\n", from->name, to->name, moved.size())
        << difference_text(moved, {request.system, false});
  }
  return moved.empty() ? 0 : 1;
}

}  // namespace fettle::cli
