#include "record/record.h"

#include <algorithm>
#include <string_view>

#include <fmt/format.h>

#include "build/codec.h"
#include "record/html.h"
#include "record/record_parts.h"
#include "record/seal.h"
#include "stations/catalogue.h"
#include "stations/report_json.h"
#include "stations/tally.h"

namespace fettle::record {
namespace {

using metrology::Verdict;
using stations::Finding;
using stations::Report;
using stations::Station;

constexpr std::string_view build_begins = "<script type=\"application/json\" id=\"build\">";
constexpr std::string_view build_ends = "</script>";

void write_fact(Html& html, std::string_view name, std::string_view value) {
  html.open("tr");
  html.element("td", name);
  html.element("td", value);
  html.close();
}

void write_engine(Html& html, const build::Build& build, const RecordOptions& options,
                  std::string_view digest) {
  const build::Engine& engine = build.engine;
  html.element("h1", build.name);
  html.element("p", fmt::format("Record of assembly, written {}{}.", options.written_at,
                                options.shop.empty() ? "" : " by " + options.shop));
  html.open("table", "facts");
  html.open("tbody");
  write_fact(html, "Engine", engine.layout);
  write_fact(html, "Firing order", fmt::format("{}", fmt::join(engine.firing_order, " \u2013 ")));
  write_fact(
      html, "Bore, stroke, rod",
      fmt::format("{}, {}, {}", engine.bore.typed(), engine.stroke.typed(), engine.rod_length.typed()));
  write_fact(html, "Readings taken", fmt::format("{}", build.readings.size()));
  html.close();
  html.close();
  html.open("p", "digest");
  html.text("Digest of this build: " + in_groups(digest));
  html.close();
}

void write_stations_table(Html& html, const Report& report) {
  html.open("table");
  html.open("thead");
  html.open("tr");
  html.element("th", "Station");
  for (const std::string_view title : {"holds", "fails", "too close", "open"}) {
    html.element("th", title, "number");
  }
  html.close();
  html.close();
  html.open("tbody");
  for (const Station& station : stations::stations()) {
    const stations::Tally counts = stations::tally(report, station.id);
    html.open("tr");
    html.element("td", station.title);
    if (counts.all() == 0) {
      html.raw("<td colspan=\"4\" class=\"faint\">not done</td>\n");
    } else {
      for (const int count : {counts.holds, counts.fails, counts.too_close, counts.open}) {
        html.element("td", fmt::format("{}", count), "number");
      }
    }
    html.close();
  }
  html.close();
  html.close();
}

/// One line a finding with that verdict, or that there is none.
void write_those(Html& html, const Report& report, Verdict verdict, std::string_view none,
                 const RecordOptions& options) {
  html.open("ul", "values");
  bool any = false;
  for (const Finding& finding : report.findings) {
    if (finding.verdict != verdict) {
      continue;
    }
    any = true;
    html.open("li");
    html.element("div", title_of(finding, options.system));
    std::string line = where_text(finding.where);
    const std::string value = value_text(finding, options.system).first;
    for (const std::string& part :
         {value, finding.needs.empty() ? std::string() : "needs " + finding.needs}) {
      line += (line.empty() || part.empty() ? "" : ": ") + part;
    }
    html.element("div", line, "second");
    html.close();
  }
  if (!any) {
    html.element("li", none);
  }
  html.close();
}

void write_headlines(Html& html, const Report& report, const RecordOptions& options) {
  html.open("table");
  html.open("tbody");
  for (const Station& station : stations::stations()) {
    for (const Finding& finding : report.findings) {
      const bool told =
          std::find(station.headline.begin(), station.headline.end(), finding.id) != station.headline.end() &&
          finding.value && !finding.where.cylinder;
      if (!told) {
        continue;
      }
      const auto [first, second] = value_text(finding, options.system);
      html.open("tr");
      const std::string place = where_text(finding.where);
      html.element("td", title_of(finding, options.system) + (place.empty() ? "" : ", " + place));
      html.element("td", first, "number");
      html.element("td", second, "number");
      html.element("td", verdict_text(finding));
      html.close();
    }
  }
  html.close();
  html.close();
}

void write_first_sheet(Html& html, const build::Build& build, const Report& report,
                       const RecordOptions& options, std::string_view digest) {
  html.open("section", "sheet");
  write_engine(html, build, options, digest);
  html.open("div", "caution");
  html.text(
      "The figures here were measured and worked out with the doubt that stands beside them. They do not "
      "replace the maker's sheet, local rules, or a licensed engineer where one is required. Anything marked "
      "as a prediction is one.");
  html.close();
  html.element("h2", "What was proved");
  write_stations_table(html, report);
  write_headlines(html, report, options);
  html.element("h2", "What fails");
  write_those(html, report, Verdict::fails, "Nothing that was measured fails.", options);
  html.element("h2", "What is too close to call");
  html.element("p", "The limit lies within the doubt of the figure: neither shown to hold nor to fail.");
  write_those(html, report, Verdict::too_close, "Nothing.", options);
  html.element("h2", "What was left open");
  write_those(html, report, Verdict::open, "Nothing of the stations that were done.", options);
  html.open("div", "signatures");
  html.element("span", "Assembled by, date");
  html.element("span", "Handed over to, date");
  html.close();
  html.close();
}

void write_mistakes(Html& html, const Report& report, const Station& station) {
  bool begun = false;
  for (const stations::Mistake& mistake : report.mistakes) {
    if (stations::station_of(mistake.id) != station.id) {
      continue;
    }
    if (!begun) {
      html.element("h3", "What looked wrong in the readings, and was left so");
      begun = true;
    }
    html.element("p", mistake.says + " " + mistake.do_next);
  }
}

void write_station(Html& html, const build::Build& build, const Report& report, const Station& station,
                   const RecordOptions& options) {
  if (stations::tally(report, station.id).all() == 0) {
    return;
  }
  html.open("section");
  html.element("h2", station.title);
  html.element("p", station.purpose, "faint");
  write_findings(html, report, station, options.system);
  write_mistakes(html, report, station);
  write_closer_fits(html, report, station, options.system);
  write_readings(html, build, station);
  html.element("h3", "Cautions of this station");
  html.open("ul");
  for (const std::string_view caution : station.cautions) {
    html.element("li", caution);
  }
  html.close();
  html.close();
}

void write_list(Html& html, std::string_view title, const std::vector<std::string>& lines) {
  if (lines.empty()) {
    return;
  }
  html.element("h2", title);
  html.open("ul");
  for (const std::string& line : lines) {
    html.element("li", line);
  }
  html.close();
}

void write_first_start(Html& html, const Report& report) {
  if (report.first_start.empty()) {
    return;
  }
  html.element("h2", "First start");
  html.element("p", "Common practice; the maker's sheet goes before it.", "faint");
  html.open("ol");
  for (const stations::StartStep& step : report.first_start) {
    html.open("li");
    html.text(step.says);
    html.element("div", step.why, "second");
    html.close();
  }
  html.close();
}

std::vector<std::string> note_lines(const build::Build& build) {
  std::vector<std::string> lines;
  for (const build::Note& note : build.notes) {
    std::string line = note.text;
    for (const auto& part : {note.taken, note.by}) {
      line += part ? ", " + *part : "";
    }
    lines.push_back(std::move(line));
  }
  return lines;
}

void write_how_to_read(Html& html) {
  html.element("h2", "How to read this record");
  html.element(
      "p",
      "\u00b1 is the expanded uncertainty for 95 % (JCGM 100:2008), worked out from what the tools can "
      "be trusted to and how the readings repeat. \u2018Holds\u2019 and \u2018fails\u2019 are said only "
      "where the whole interval lies on one side of the limit (ISO 14253-1); otherwise it is \u2018too "
      "close\u2019.");
  html.element("p",
               "Each limit names its source. Common practice is what the trade goes by where nobody gave a "
               "figure; it has no source beyond that, and the maker's sheet always goes before it.");
}

/// The same JSON without a letter that could begin a tag.
std::string safe_in_script(const std::string& json) {
  std::string safe;
  for (const char c : json) {
    safe += c == '<' ? std::string("\\u003c") : std::string(1, c);
  }
  return safe;
}

}  // namespace

std::string record_html(const build::Build& build, const Report& report, const RecordOptions& options) {
  const std::string document =
      build::write_build(build).dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace);
  Html html;
  html.raw("<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n");
  html.raw("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n");
  html.element("title", build.name + ": record");
  html.raw(fmt::format("<style>{}</style>\n</head>\n", record_style()));
  html.open("body");
  write_first_sheet(html, build, report, options, digest_of(document));
  for (const Station& station : stations::stations()) {
    write_station(html, build, report, station, options);
  }
  write_fits(html, build);
  write_first_start(html, report);
  html.element("h2", "Tools");
  write_tools(html, build);
  write_list(html, "What was assumed", report.assumptions);
  write_list(html, "Notes", note_lines(build));
  write_how_to_read(html);
  html.raw(fmt::format("{}{}{}\n", build_begins, safe_in_script(document), build_ends));
  html.close();
  html.raw("</html>\n");
  return html.take();
}

std::string build_within(std::string_view record) {
  const std::size_t begin = record.rfind(build_begins);
  if (begin == std::string_view::npos) {
    return {};
  }
  const std::size_t first = begin + build_begins.size();
  const std::size_t end = record.find(build_ends, first);
  return end == std::string_view::npos ? std::string() : std::string(record.substr(first, end - first));
}

}  // namespace fettle::record
