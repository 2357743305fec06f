#include <cmath>
#include <map>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "build/findings.h"
#include "build/names.h"
#include "record/record_parts.h"
#include "stations/report_json.h"

namespace fettle::record {
namespace {

using quantity::System;
using stations::Finding;

System other(System system) {
  return system == System::inch ? System::metric : System::inch;
}

quantity::Dimension dimension_of(const Finding& finding) {
  const build::FindingKind* kind = build::finding_kind(finding.id);
  return kind == nullptr ? quantity::Dimension::ratio : kind->dimension;
}

std::string printed(const Finding& finding, double value, System system, bool with_doubt) {
  quantity::PrintOptions options;
  if (with_doubt) {
    options.uncertainty = finding.expanded;
  }
  return quantity::print(value, dimension_of(finding), system, options);
}

std::string css_of(const Finding& finding) {
  std::string css = "verdict ";
  for (const char c : verdict_text(finding)) {
    css += c == ' ' ? '-' : c;
  }
  return css;
}

std::string shape_of(const Finding& finding) {
  if (!finding.verdict) {
    return "";
  }
  switch (*finding.verdict) {
    case metrology::Verdict::holds:
      return "\u2713 ";
    case metrology::Verdict::fails:
      return "\u2717 ";
    case metrology::Verdict::too_close:
      return "\u2248 ";
    case metrology::Verdict::open:
      break;
  }
  return "\u25cb ";
}

void write_value(Html& html, const Finding& finding, System system) {
  html.open("li");
  if (const std::string place = where_text(finding.where); !place.empty()) {
    html.element("span", place, "place");
    html.text(" ");
  }
  const auto [first, second] = value_text(finding, system);
  html.text(first.empty() ? "not measured" : first);
  html.text(" ");
  if (finding.verdict) {
    html.element("span", shape_of(finding) + std::string(verdict_text(finding)), css_of(finding));
  }
  if (!second.empty()) {
    html.element("div", second, "second");
  }
  if (!finding.needs.empty()) {
    html.element("div", "needs " + finding.needs, "second");
  }
  html.close();
}

/// Findings of one kind at one check lift.
struct Row {
  std::string title;
  std::vector<const Finding*> findings;
};

std::vector<Row> rows_of(const stations::Report& report, std::string_view station, System system) {
  std::vector<Row> rows;
  std::map<std::string, std::size_t> places;
  for (const Finding& finding : report.findings) {
    if (stations::station_of(finding.id) != station) {
      continue;
    }
    const std::string title = title_of(finding, system);
    const auto [place, fresh] = places.try_emplace(title, rows.size());
    if (fresh) {
      rows.push_back({title, {}});
    }
    rows[place->second].findings.push_back(&finding);
  }
  return rows;
}

/// The limits of a row, each once with the places it is for where they differ.
void write_limits(Html& html, const Row& row, System system) {
  std::vector<std::pair<std::string, std::vector<std::string>>> limits;
  for (const Finding* finding : row.findings) {
    const std::string text = limit_text(*finding, system);
    if (text.empty()) {
      continue;
    }
    auto same = limits.begin();
    while (same != limits.end() && same->first != text) {
      ++same;
    }
    if (same == limits.end()) {
      same = limits.insert(same, {text, {}});
    }
    same->second.push_back(where_text(finding->where));
  }
  for (const auto& [text, places] : limits) {
    std::string line = "Limit " + text;
    if (limits.size() > 1 && !places.front().empty()) {
      line += fmt::format(": {}", fmt::join(places, ", "));
    }
    html.element("div", line, "second");
  }
}

}  // namespace

ValueText value_text(const Finding& finding, System system) {
  if (!finding.value) {
    return {};
  }
  ValueText text{printed(finding, *finding.value, system, true),
                 printed(finding, *finding.value, other(system), true)};
  if (text.second == text.first) {
    text.second.clear();
  }
  return text;
}

std::string limit_text(const Finding& finding, System system) {
  if (!finding.limit) {
    return {};
  }
  const auto both = [&](double value) {
    const std::string first = printed(finding, value, system, false);
    const std::string second = printed(finding, value, other(system), false);
    return first == second ? first : fmt::format("{} ({})", first, second);
  };
  const auto& limit = *finding.limit;
  std::string text;
  if (limit.min && limit.max) {
    text = fmt::format("{} to {}", both(*limit.min), both(*limit.max));
  } else if (limit.min) {
    text = both(*limit.min) + " or more";
  } else if (limit.max) {
    text = both(*limit.max) + " or less";
  }
  return limit.source.empty() ? text : fmt::format("{}, {}", text, limit.source);
}

std::string_view verdict_text(const Finding& finding) {
  if (!finding.verdict) {
    return "no limit";
  }
  return metrology::name(*finding.verdict);
}

std::string where_text(const stations::Where& where) {
  std::string text;
  if (where.cylinder) {
    text = fmt::format("cyl {}", *where.cylinder);
  }
  const auto add = [&](const std::string& part) { text += (text.empty() ? "" : " ") + part; };
  if (where.main) {
    add(fmt::format("main {}", *where.main));
  }
  if (where.valve) {
    add(std::string(build::word(*where.valve)));
  }
  if (!where.part.empty()) {
    add(where.part);
  }
  if (where.number) {
    add(fmt::format("{}", *where.number));
  }
  return text;
}

std::string title_of(const Finding& finding, System system) {
  const build::FindingKind* kind = build::finding_kind(finding.id);
  std::string title(kind == nullptr ? std::string_view(finding.id) : kind->title);
  if (finding.where.at) {
    title += " at " + quantity::print(*finding.where.at, quantity::Dimension::length, system);
  }
  return title;
}

void write_findings(Html& html, const stations::Report& report, const stations::Station& station,
                    System system) {
  for (const Row& row : rows_of(report, station.id, system)) {
    html.element("h3", row.title);
    write_limits(html, row, system);
    html.open("ul", "values");
    for (const Finding* finding : row.findings) {
      write_value(html, *finding, system);
    }
    html.close();
  }
}

}  // namespace fettle::record
