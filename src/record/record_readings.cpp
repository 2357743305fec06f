#include <algorithm>
#include <set>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "build/codec.h"
#include "build/names.h"
#include "record/record_parts.h"

namespace fettle::record {
namespace {

using nlohmann::ordered_json;

std::string as_words(std::string_view word) {
  std::string text(word);
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

std::string plain(const ordered_json& value) {
  if (value.is_string()) {
    return value.get<std::string>();
  }
  if (!value.is_array()) {
    return value.dump(-1, ' ', false, ordered_json::error_handler_t::replace);
  }
  std::vector<std::string> parts;
  for (const auto& one : value) {
    parts.push_back(plain(one));
  }
  return fmt::format("{}", fmt::join(parts, ", "));
}

/// Wheel and lift of every point of a sweep.
std::string points_text(const ordered_json& points) {
  std::vector<std::string> texts;
  for (const auto& point : points) {
    texts.push_back(plain(point));
  }
  return fmt::format("{}", fmt::join(texts, "; "));
}

bool is_place(const std::string& key) {
  return key == "cylinder" || key == "valve" || key == "main" || key == "piston" || key == "rod";
}
/// Members that say who, when and with what, which have a column of their own.
bool is_circumstance(const std::string& key) {
  static const std::set<std::string> keys{"tool", "lift_tool", "gauge", "tester", "at", "by", "taken"};
  return keys.contains(key);
}

std::string place_of(const ordered_json& reading) {
  std::string text;
  if (reading.contains("cylinder")) {
    text = "cyl " + plain(reading["cylinder"]);
  }
  if (reading.contains("valve")) {
    text += (text.empty() ? "" : " ") + plain(reading["valve"]);
  }
  for (const char* numbered : {"main", "piston", "rod"}) {
    if (reading.contains(numbered)) {
      text += fmt::format("{}{} {}", text.empty() ? "" : " ", numbered, plain(reading[numbered]));
    }
  }
  return text;
}

void write_reading(Html& html, std::size_t number, const ordered_json& reading) {
  std::vector<std::string> said;
  std::vector<std::string> with;
  for (const auto& [key, value] : reading.items()) {
    if (key == "id" || key == "kind" || key == "points" || is_place(key)) {
      continue;
    }
    if (is_circumstance(key)) {
      with.push_back(plain(value));
    } else {
      said.push_back(fmt::format("{} {}", as_words(key), plain(value)));
    }
  }
  html.open("tr");
  html.element("td", fmt::format("{}", number), "number");
  html.element("td", as_words(reading["kind"].get<std::string>()));
  html.element("td", place_of(reading));
  html.open("td");
  html.text(fmt::format("{}", fmt::join(said, "; ")));
  if (reading.contains("points")) {
    html.element("div", points_text(reading["points"]), "points");
  }
  html.close();
  html.element("td", fmt::format("{}", fmt::join(with, ", ")));
  html.close();
}

void write_head(Html& html, const std::vector<std::string>& titles) {
  html.open("thead");
  html.open("tr");
  for (const std::string& title : titles) {
    html.element("th", title);
  }
  html.close();
  html.close();
}

std::string measure(const std::optional<build::Measure>& measure) {
  return measure ? measure->typed : "";
}

}  // namespace

void write_readings(Html& html, const build::Build& build, const stations::Station& station) {
  const std::set<build::ReadingKind> kinds(station.kinds.begin(), station.kinds.end());
  const auto of_station = [&](const build::Reading& reading) { return kinds.contains(reading.kind); };
  if (std::none_of(build.readings.begin(), build.readings.end(), of_station)) {
    return;
  }
  const ordered_json document = build::write_build(build);
  html.element("h3", "Readings, as they were typed");
  html.open("table");
  write_head(html, {"No.", "Reading", "Place", "Shows", "With, when, by"});
  html.open("tbody");
  for (std::size_t i = 0; i < build.readings.size(); ++i) {
    if (of_station(build.readings[i])) {
      write_reading(html, i + 1, document["readings"][i]);
    }
  }
  html.close();
  html.close();
}

void write_tools(Html& html, const build::Build& build) {
  if (build.tools.empty()) {
    html.element("p", "No tool was described: readings count as exact to their last digit.");
    return;
  }
  html.open("table");
  write_head(html, {"Tool", "Kind", "Resolution", "Permissible error", "Drift", "Parallax", "Noise"});
  html.open("tbody");
  for (const auto& [name, tool] : build.tools) {
    html.open("tr");
    for (const std::string& cell :
         {name, as_words(build::word(tool.kind)), measure(tool.resolution), measure(tool.permissible_error),
          measure(tool.drift), measure(tool.parallax), measure(tool.noise)}) {
      html.element("td", cell);
    }
    html.close();
  }
  html.close();
  html.close();
}

}  // namespace fettle::record
