#include "serve/stations_json.h"

#include <algorithm>

#include "build/findings.h"
#include "build/names.h"
#include "stations/catalogue.h"
#include "stations/report_json.h"

namespace fettle::serve {
namespace {

using nlohmann::ordered_json;

ordered_json field_json(const stations::Field& field) {
  ordered_json json{
      {"key", field.key}, {"title", field.title}, {"type", word(field.type)}, {"says", field.meaning}};
  if (field.required) {
    json["required"] = true;
  }
  // The example of a list or of pairs is JSON; a form shows texts.
  if (!field.example.empty() && field.example.front() != '[') {
    json["example"] = field.example;
  }
  if (!field.preset.empty()) {
    json["default"] = field.preset;
  }
  if (!field.choices.empty()) {
    json["choices"] = ordered_json::array();
    for (const stations::Choice& choice : field.choices) {
      json["choices"].push_back({{"value", choice.value}, {"title", choice.title}});
    }
  }
  if (!field.tools.empty()) {
    json["tools"] = ordered_json::array();
    for (const build::ToolKind kind : field.tools) {
      json["tools"].push_back(build::word(kind));
    }
  }
  if (field.alternates) {
    json["alternates"] = true;
  }
  return json;
}

ordered_json form_json(const stations::ReadingForm& form) {
  ordered_json json{{"kind", build::word(form.kind)}, {"title", form.title}, {"says", form.meaning}};
  json["fields"] = ordered_json::array();
  for (const stations::Field& field : form.fields) {
    json["fields"].push_back(field_json(field));
  }
  if (!form.one_of.empty()) {
    json["one_of"] = form.one_of;
    json["exclusive"] = form.exclusive;
  }
  return json;
}

ordered_json findings_json(const stations::Station& station) {
  ordered_json list = ordered_json::array();
  for (const build::FindingKind& kind : build::finding_kinds()) {
    if (stations::station_of(std::string(kind.id)) != station.id) {
      continue;
    }
    ordered_json one{{"id", kind.id},
                     {"title", kind.title},
                     {"definition", kind.definition},
                     {"unit", quantity::si_unit(kind.dimension)}};
    if (std::find(station.headline.begin(), station.headline.end(), kind.id) != station.headline.end()) {
      one["headline"] = true;
    }
    list.push_back(std::move(one));
  }
  return list;
}

}  // namespace

ordered_json stations_json() {
  ordered_json list = ordered_json::array();
  for (const stations::Station& station : stations::stations()) {
    ordered_json json{{"id", station.id},
                      {"title", station.title},
                      {"purpose", station.purpose},
                      {"how", station.how},
                      {"cautions", station.cautions}};
    json["readings"] = ordered_json::array();
    for (const build::ReadingKind kind : station.kinds) {
      json["readings"].push_back(form_json(stations::reading_form(kind)));
    }
    json["findings"] = findings_json(station);
    list.push_back(std::move(json));
  }
  return list;
}

}  // namespace fettle::serve
