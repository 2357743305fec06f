#include "cli/table.h"

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "build/findings.h"
#include "build/names.h"
#include "stations/catalogue.h"
#include "stations/lift_basis.h"
#include "stations/report_json.h"
#include "stations/tally.h"

namespace fettle::cli {
namespace {

using build::Valve;
using metrology::Verdict;
using stations::Finding;
using stations::Report;
using stations::Where;

constexpr std::size_t columns = 80;

/// Width of a text on the terminal: its characters, not its bytes.
std::size_t width_of(const std::string& text) {
  return static_cast<std::size_t>(std::count_if(
      text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xc0) != 0x80; }));
}

std::string padded(const std::string& text, std::size_t width) {
  const std::size_t own = width_of(text);
  return own < width ? text + std::string(width - own, ' ') : text;
}

std::string coloured(const std::string& text, const std::optional<Verdict>& verdict, bool colour) {
  if (!colour || !verdict) {
    return text;
  }
  switch (*verdict) {
    case Verdict::holds:
      return "\x1b[32m" + text + "\x1b[0m";
    case Verdict::fails:
      return "\x1b[1;31m" + text + "\x1b[0m";
    case Verdict::too_close:
      return "\x1b[33m" + text + "\x1b[0m";
    case Verdict::open:
      return "\x1b[36m" + text + "\x1b[0m";
  }
  return text;
}

quantity::Dimension dimension_of(const std::string& id) {
  const build::FindingKind* kind = build::finding_kind(id);
  return kind == nullptr ? quantity::Dimension::angle : kind->dimension;
}

/// A value and its expanded uncertainty: "111.6 ± 0.4", with the unit where asked.
std::string value_text(const Finding& finding, const TableOptions& options, bool with_unit) {
  if (!finding.value) {
    return "-";
  }
  const auto dimension = dimension_of(finding.id);
  quantity::PrintOptions print;
  // A doubt of nothing, or of rounding, is none that anybody stated: the usual decimals, and no ±.
  constexpr double rounding = 1e-9;
  if (finding.expanded > rounding * std::abs(*finding.value)) {
    print.uncertainty = finding.expanded;
  }
  std::string text = quantity::print(*finding.value, dimension, options.system, print);
  if (with_unit) {
    return text;
  }
  // "111.60 deg ± 0.42" without its unit; the heading names it.
  const std::string unit =
      std::string(" ") + std::string(quantity::default_unit(dimension, options.system).symbol);
  const auto at = text.find(unit);
  return at == std::string::npos ? text : text.substr(0, at) + text.substr(at + unit.size());
}

std::string verdict_text(const Finding& finding) {
  return finding.verdict ? std::string(metrology::name(*finding.verdict)) : "";
}

std::string limit_text(const Finding& finding, const TableOptions& options) {
  if (!finding.limit) {
    return {};
  }
  quantity::PrintOptions print_options;
  if (dimension_of(finding.id) == quantity::Dimension::angle) {
    print_options.decimals = 2;
  }
  const auto print = [&](double value) {
    return quantity::print(value, dimension_of(finding.id), options.system, print_options);
  };
  const auto& limit = *finding.limit;
  if (limit.min && limit.max) {
    return fmt::format("{} to {}", print(*limit.min), print(*limit.max));
  }
  return limit.min ? "at least " + print(*limit.min) : "at most " + print(*limit.max);
}

std::string title_of(const Finding& finding, const TableOptions& options) {
  const build::FindingKind* kind = build::finding_kind(finding.id);
  std::string title = kind == nullptr ? finding.id : std::string(kind->title);
  if (finding.where.valve) {
    title += fmt::format(", {}", build::word(*finding.where.valve));
  }
  if (finding.where.cylinder) {
    title += fmt::format(", cylinder {}", *finding.where.cylinder);
  }
  if (!finding.where.part.empty()) {
    title += fmt::format(", {}", finding.where.part);
  }
  if (finding.where.number) {
    title += fmt::format(" {}", *finding.where.number);
  }
  if (finding.where.main) {
    title += fmt::format(", main {}", *finding.where.main);
  }
  if (finding.where.at) {
    title += " at " + quantity::print(*finding.where.at, quantity::Dimension::length, options.system);
  }
  return title;
}

/// One finding on its own: title, value, verdict, and the limit on a line below.
std::string single_line(const Finding& finding, const TableOptions& options) {
  std::string text = fmt::format("  {}{}{}\n", padded(title_of(finding, options), 44),
                                 padded(value_text(finding, options, true), 24),
                                 coloured(verdict_text(finding), finding.verdict, options.colour));
  if (finding.limit) {
    text += fmt::format(
        "    {}\n", wrapped(fmt::format("limit {} ({})", limit_text(finding, options), finding.limit->source),
                            columns - 4, 4));
  }
  if (finding.verdict == Verdict::open) {
    text += fmt::format("    {}\n", wrapped("needs " + finding.needs, columns - 4, 4));
  }
  return text;
}

/// Room for a verdict, at the end of its column.
constexpr std::size_t verdict_width = 10;

/// A column of a table over cylinders.
struct Column {
  std::string heading;
  std::string id;
  std::optional<Valve> valve;
  std::optional<double> at;
  std::size_t width;
  bool verdict;
  bool of_mains = false;  ///< rows are main bearings, not cylinders
};

std::string cell(const Report& report, const Column& column, int cylinder, const TableOptions& options) {
  Where where{std::nullopt, column.valve, column.at};
  (column.of_mains ? where.main : where.cylinder) = cylinder;
  const Finding* finding = stations::find(report, column.id, where);
  if (finding == nullptr) {
    return padded("", column.width);
  }
  std::string text =
      padded(value_text(*finding, options, false), column.width - (column.verdict ? verdict_width : 0));
  if (column.verdict) {
    text += text.ends_with(' ') ? "" : " ";
    const std::size_t taken = std::min(width_of(text), column.width);
    const std::string verdict = padded(verdict_text(*finding), column.width - taken);
    text += coloured(verdict, finding->verdict, options.colour);
  }
  return text;
}

std::string cylinder_table(const Report& report, const std::vector<Column>& table,
                           const std::set<int>& cylinders, const TableOptions& options) {
  std::string text = !table.empty() && table.front().of_mains ? "  main " : "  cyl  ";
  for (const Column& column : table) {
    text += padded(column.heading, column.width);
  }
  text += "\n";
  for (const int cylinder : cylinders) {
    std::string row = fmt::format("  {:>3}  ", cylinder);
    for (const Column& column : table) {
      row += cell(report, column, cylinder, options);
    }
    text += row.substr(0, row.find_last_not_of(' ') + 1) + "\n";
  }
  return text;
}

std::set<int> cylinders_read(const Report& report) {
  std::set<int> cylinders;
  for (const Finding& finding : report.findings) {
    if (finding.id.starts_with("cam.") && finding.where.cylinder) {
      cylinders.insert(*finding.where.cylinder);
    }
  }
  return cylinders;
}

std::string cam_tables(const Report& report, const TableOptions& options) {
  const auto cylinders = cylinders_read(report);
  if (cylinders.empty()) {
    return {};
  }
  const double at = stations::main_check_lift;
  std::string text = "  Crank degrees; centrelines after and before overlap TDC\n";
  text += cylinder_table(report,
                         {{"intake centreline", "cam.intake_centerline", {}, {}, 27, true},
                          {"exhaust centreline", "cam.exhaust_centerline", {}, {}, 27, true},
                          {"separation", "cam.lobe_separation", {}, {}, 16, false}},
                         cylinders, options);
  const std::string lift = quantity::print(at, quantity::Dimension::length, options.system);
  text += fmt::format("\n  Duration at {} (deg), greatest lift ({})\n", lift,
                      quantity::default_unit(quantity::Dimension::length, options.system).symbol);
  text += cylinder_table(report,
                         {{"intake", "cam.duration", Valve::intake, at, 16, false},
                          {"exhaust", "cam.duration", Valve::exhaust, at, 16, false},
                          {"intake lift", "cam.lobe_lift", Valve::intake, {}, 20, false},
                          {"exhaust lift", "cam.lobe_lift", Valve::exhaust, {}, 20, false}},
                         cylinders, options);
  return text;
}

std::string singles(const Report& report, std::string_view station, const TableOptions& options) {
  std::string text;
  for (const Finding& finding : report.findings) {
    const bool open = finding.verdict == Verdict::open;
    if (finding.id.starts_with(station) && ((!finding.where.cylinder && !finding.where.main) || open)) {
      text += single_line(finding, options);
    }
  }
  return text;
}

/// Findings of one kind over cylinders: those with a verdict as a table, others from the least to the
/// greatest.
std::string kind_table(const Report& report, const build::FindingKind& kind, const TableOptions& options) {
  std::set<int> cylinders;
  std::set<Valve> valves;
  bool limited = false;
  std::optional<Finding> least, greatest;
  std::vector<std::string> limits;
  for (const Finding& finding : report.findings) {
    const auto& number = kind.per_main ? finding.where.main : finding.where.cylinder;
    if (finding.id != kind.id || !number || !finding.value) {
      continue;
    }
    cylinders.insert(*number);
    if (finding.where.valve) {
      valves.insert(*finding.where.valve);
    }
    if (finding.limit) {
      limited = true;
      const std::string text = limit_text(finding, options);
      if (std::find(limits.begin(), limits.end(), text) == limits.end()) {
        limits.push_back(text);
      }
    }
    least = !least || *finding.value < *least->value ? finding : least;
    greatest = !greatest || *finding.value > *greatest->value ? finding : greatest;
  }
  if (!least) {
    return {};
  }
  const std::string unit(quantity::default_unit(kind.dimension, options.system).symbol);
  if (!limited) {
    return fmt::format("  {}{} to {}\n", padded(std::string(kind.title), 44),
                       value_text(*least, options, false), value_text(*greatest, options, true));
  }
  std::vector<Column> table;
  if (valves.empty()) {
    table.push_back({"", std::string(kind.id), {}, {}, 27, true, kind.per_main});
  }
  for (const Valve valve : valves) {
    table.push_back({std::string(build::word(valve)), std::string(kind.id), valve, {}, 30, true});
  }
  // Limits that differ do so by valve, in the order of the columns.
  return "  " +
         wrapped(fmt::format("{} ({}): {}", kind.title, unit, fmt::join(limits, "; ")), columns - 2, 4) +
         "\n" + cylinder_table(report, table, cylinders, options);
}

/// The stations that have no table of their own.
std::string other_stations(const Report& report, const TableOptions& options) {
  std::string text;
  for (const stations::Station& station : stations::stations()) {
    if (station.id == "tdc" || station.id == "cam") {
      continue;
    }
    std::string body;
    for (const build::FindingKind& kind : build::finding_kinds()) {
      if (stations::station_of(kind.id) == station.id) {
        body += kind_table(report, kind, options);
      }
    }
    body += singles(report, std::string(station.id) + ".", options);
    text += body.empty() ? "" : fmt::format("\n{}\n{}", station.title, body);
  }
  return text;
}

/// Limits of findings that stand in the tables, each said once.
std::string limits_line(const Report& report, const TableOptions& options) {
  std::string text;
  for (const char* id : {"cam.intake_centerline", "cam.exhaust_centerline"}) {
    for (const Finding& finding : report.findings) {
      if (finding.id == id && finding.limit) {
        text += "  " +
                wrapped(fmt::format("{}: {} ({})", build::finding_kind(id)->title,
                                    limit_text(finding, options), finding.limit->source),
                        columns - 2, 4) +
                "\n";
        break;
      }
    }
  }
  return text;
}

std::string paragraphs(const Report& report, const TableOptions& options) {
  std::string text;
  if (!report.mistakes.empty()) {
    text += "\nWhat looks wrong\n";
    for (const auto& mistake : report.mistakes) {
      text += "  " + wrapped("! " + mistake.says, columns - 2, 4) + "\n    " +
              wrapped("Next: " + mistake.do_next, columns - 4, 4) + "\n";
    }
  }
  if (!report.corrections.empty()) {
    text += "\nCorrections the parts allow\n";
    for (const auto& correction : report.corrections) {
      std::string line = fmt::format("{} {}", correction.recommended ? "=>" : "  ", correction.says);
      for (const auto& effect : correction.effects) {
        if (effect.from.id == "cam.phase_error") {
          line +=
              fmt::format("; cam position {} ({})", value_text(effect.to, options, true),
                          effect.to.verdict ? std::string(metrology::name(*effect.to.verdict)) : "no limit");
        }
      }
      text += " " + wrapped(line, columns - 1, 6) + "\n";
    }
  }
  if (report.next_reading) {
    text += "\nNext reading\n  " + wrapped(report.next_reading->says, columns - 2, 2) + "\n";
  }
  if (!report.assumptions.empty()) {
    text += "\nAssumed\n";
    for (const std::string& assumption : report.assumptions) {
      text += "  " + wrapped("- " + assumption, columns - 2, 4) + "\n";
    }
  }
  return text;
}

}  // namespace

std::string finding_title(const Finding& finding, const TableOptions& options) {
  return title_of(finding, options);
}

std::string finding_value(const Finding& finding, const TableOptions& options) {
  return value_text(finding, options, true);
}

std::string wrapped(const std::string& text, std::size_t width, std::size_t indent) {
  std::string result;
  std::string line;
  std::size_t start = 0;
  while (start < text.size()) {
    auto end = text.find(' ', start);
    end = end == std::string::npos ? text.size() : end;
    const std::string part = text.substr(start, end - start);
    if (!line.empty() && width_of(line) + 1 + width_of(part) > width) {
      result += line + "\n" + std::string(indent, ' ');
      line.clear();
      width -= result.find('\n') == result.rfind('\n')
                   ? std::min(width, indent) - std::min(width, std::size_t{2})
                   : 0;
    }
    line += (line.empty() ? "" : " ") + part;
    start = end + 1;
  }
  return result + line;
}

std::string report_table(const build::Build& build, const Report& report, const TableOptions& options) {
  std::string text =
      fmt::format("{}: {}, {} readings\n", build.name, build.engine.layout, build.readings.size());
  text += "\nTrue TDC\n" + singles(report, "tdc.", options);
  text += "\nCam timing\n" + cam_tables(report, options) + limits_line(report, options) + "\n" +
          singles(report, "cam.", options);
  text += other_stations(report, options);
  text += paragraphs(report, options);
  const stations::Tally counts = stations::tally(report);
  text += fmt::format("\n{} hold, {} fail, {} too close to call, {} open; {}\n", counts.holds, counts.fails,
                      counts.too_close, counts.open,
                      report.mistakes.empty() ? "nothing looks wrong in the readings"
                                              : fmt::format("{} to look into", report.mistakes.size()));
  text += wrapped(
              "± is the expanded uncertainty for 95 %. Follow the maker's sheet and local codes; these "
              "figures do not "
              "replace them.",
              columns, 0) +
          "\n";
  return text;
}

std::string first_start_text(const stations::Report& report) {
  std::string text = "\nFirst start (common practice, no source)\n";
  int number = 0;
  for (const stations::StartStep& step : report.first_start) {
    const std::string head = fmt::format("{:>3}. {}{}", ++number, step.caution ? "! " : "", step.says);
    text += wrapped(head, columns, 5) + "\n     " + wrapped("Why: " + step.why, columns - 5, 5) + "\n";
    std::string open;
    for (const std::string& id : step.open) {
      const build::FindingKind* kind = build::finding_kind(id);
      open += (open.empty() ? "" : "; ") + (kind == nullptr ? id : std::string(kind->title));
    }
    if (!open.empty()) {
      text += "     " + wrapped(open, columns - 5, 5) + "\n";
    }
  }
  return text;
}

}  // namespace fettle::cli
