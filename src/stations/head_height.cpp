#include "stations/head_height.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "build/describe.h"
#include "build/reading_rules.h"
#include "stations/length_text.h"

namespace fettle::stations {
namespace {

using build::Build;
using build::Reading;

constexpr double inch = 0.0254;

double or_none(const std::optional<quantity::Length>& length) {
  return length ? length->si() : 0;
}

bool metric(const Build& build) {
  return build.engine.bore.typed().find('m') != std::string::npos;
}

/// Whether a reading carries a value in the field of that key.
class FieldLook {
 public:
  explicit FieldLook(std::string_view key) : key_(key) {}
  template <class T>
  void required(std::string_view key, const T& /*member*/, std::string_view /*meaning*/,
                std::string_view /*example*/) {
    there = there || key == key_;
  }
  template <class T>
  void optional(std::string_view key, const std::optional<T>& member, std::string_view /*meaning*/,
                std::string_view /*example*/) {
    there = there || (key == key_ && member.has_value());
  }
  template <class T>
  void optional(std::string_view key, const std::vector<T>& member, std::string_view /*meaning*/,
                std::string_view /*example*/) {
    there = there || (key == key_ && !member.empty());
  }
  bool there = false;

 private:
  std::string_view key_;
};

bool carries(const Reading& reading, std::string_view field) {
  FieldLook look(field);
  // describe() takes its object by reference to serve the reader too; this visitor only looks.
  describe(look, const_cast<Reading&>(reading));
  return look.there;
}

/// Than when something was taken that may say which gasket was in place, and what was off head and deck.
template <class Taken>
double higher_than(const Observed& observed, const Taken& taken) {
  const Build& now = observed.build();
  const Build& when_read = observed.sources().build();
  const auto gasket = [](const Build& build) { return build.gasket ? build.gasket->thickness.si() : 0; };
  const double gasket_then = taken.gasket ? taken.gasket->si() : gasket(when_read);
  const double milled_then = taken.milled ? taken.milled->si() : milled(when_read);
  const double cut_then = taken.cut ? taken.cut->si() : deck_cut(when_read);
  const double thicker = now.gasket ? gasket(now) - gasket_then : 0;
  return thicker - (milled(now) - milled_then) - (deck_cut(now) - cut_then);
}

/// The same operations for the measured rockers.
void keep_at_rockers(const Build& build, std::string_view field, const std::string& value,
                     std::vector<Operation>& operations) {
  if (!build.rockers || !build.rockers->geometry) {
    return;
  }
  const auto& geometry = *build.rockers->geometry;
  for (const auto& [name, rocker] : {std::pair{"intake", &geometry.intake}, {"exhaust", &geometry.exhaust}}) {
    if (!*rocker) {
      continue;
    }
    const auto& said = field == "gasket"   ? (*rocker)->gasket
                       : field == "milled" ? (*rocker)->milled
                                           : (*rocker)->cut;
    const bool of_height = field == "gasket" || field == "milled" || field == "cut";
    if (of_height && !said) {
      operations.push_back({fmt::format("/rockers/geometry/{}/{}", name, field), value});
    }
  }
}

}  // namespace

double milled(const Build& build) {
  return build.chamber ? or_none(build.chamber->milled) : 0;
}

double deck_cut(const Build& build) {
  return build.deck ? or_none(build.deck->cut) : 0;
}

double deepened(const Build& build) {
  return build.crowns && build.crowns->deepened ? build.crowns->deepened->si() : 0;
}

double head_higher(const Observed& observed, const Reading& reading) {
  return higher_than(observed, reading);
}

double head_higher(const Observed& observed, const build::RockerDimensions& rocker) {
  return higher_than(observed, rocker);
}

std::vector<Operation> keep_field(const Build& build, std::string_view field, const std::string& value) {
  std::vector<Operation> operations;
  for (std::size_t i = 0; i < build.readings.size(); ++i) {
    const Reading& reading = build.readings[i];
    const auto& fields = build::rule_for(reading.kind).optional;
    if (std::find(fields.begin(), fields.end(), field) != fields.end() && !carries(reading, field)) {
      operations.push_back(
          {fmt::format("/readings/{}/{}", reading.id.value_or(std::to_string(i)), field), value});
    }
  }
  keep_at_rockers(build, field, value, operations);
  return operations;
}

std::vector<Operation> keep_gasket(const Build& build) {
  return build.gasket ? keep_field(build, "gasket", build.gasket->thickness.typed())
                      : std::vector<Operation>{};
}

std::vector<Operation> keep_milled(const Build& build) {
  const bool typed = build.chamber && build.chamber->milled;
  return keep_field(build, "milled", typed ? build.chamber->milled->typed() : shop_length(build, 0));
}

std::vector<Operation> keep_cut(const Build& build) {
  const bool typed = build.deck && build.deck->cut;
  return keep_field(build, "cut", typed ? build.deck->cut->typed() : shop_length(build, 0));
}

std::vector<Operation> keep_deepened(const Build& build) {
  const bool typed = build.crowns && build.crowns->deepened;
  return keep_field(build, "deepened", typed ? build.crowns->deepened->typed() : "0 cc");
}

Operation set_member(bool has_part, const std::string& part, const std::string& member,
                     const std::string& value) {
  if (has_part) {
    return {fmt::format("/{}/{}", part, member), value};
  }
  nlohmann::ordered_json only = nlohmann::ordered_json::object();
  only[member] = value;
  return {"/" + part, std::move(only)};
}

std::string shop_length(const Build& build, double length) {
  return metric(build) ? fmt::format("{:.2f} mm", length * 1e3) : fmt::format("{:.3f} in", length / inch);
}

double as_written(const Build& build, double length) {
  const double step = metric(build) ? 1e-5 : 0.001 * inch;
  return std::round(length / step) * step;
}

std::vector<Change> gasket_changes(const Build& build, const std::string& id) {
  std::vector<Change> changes;
  if (!build.gasket) {
    return changes;
  }
  for (const quantity::Length& choice : build.gasket->choices) {
    const double thicker = choice.si() - build.gasket->thickness.si();
    if (std::abs(thicker) < 1e-6) {
      continue;
    }
    Change change;
    change.id = id;
    change.says = fmt::format("Fit the head gasket that crushes to {}: {} {}", choice.typed(),
                              in_both(std::abs(thicker), 3), thicker > 0 ? "thicker" : "thinner");
    change.operations = keep_gasket(build);
    change.operations.push_back({"/gasket/thickness", choice.typed()});
    auto parts = std::make_shared<build::Build>(build);
    parts->gasket->thickness = choice;
    change.what_if.parts = std::move(parts);
    changes.push_back(std::move(change));
  }
  return changes;
}

}  // namespace fettle::stations
