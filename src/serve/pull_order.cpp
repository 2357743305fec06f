#include "serve/pull_order.h"

#include <numbers>

#include <fmt/format.h>

namespace fettle::serve {
namespace {

using nlohmann::ordered_json;
using quantity::Dimension;

constexpr double rpm = std::numbers::pi / 30.0;
constexpr double degree = std::numbers::pi / 180.0;
constexpr std::size_t most_letters_of_a_title = 60;
constexpr std::int64_t most_cylinders = 99;

void read_speeds(Body& body, pull::PullOptions& options) {
  const auto speed = [&](std::string_view key, double least, double most, double otherwise,
                         std::string_view accepted, std::string_view example) {
    return body.quantity(key, Dimension::speed, least * rpm, most * rpm, accepted, example)
        .value_or(otherwise);
  };
  constexpr std::string_view accepted = "a speed from 200 to 20000 rpm";
  options.from = speed("from", 200.0, 20000.0, options.from, accepted, "1500 rpm");
  options.to = speed("to", 200.0, 20000.0, options.to, accepted, "6500 rpm");
  options.step = speed("step", 10.0, 5000.0, options.step, "a step from 10 to 5000 rpm", "250 rpm");
  if (options.to < options.from) {
    body.note({"to", "less than from", "the last speed, not below the first", "\"6500 rpm\""});
    options.to = options.from;
  }
}

void read_air(Body& body, pull::Ambient& ambient) {
  auto air = body.inner("air");
  if (!air) {
    return;
  }
  ambient.pressure = air->quantity("pressure", Dimension::pressure, 80e3, 110e3,
                                   "the dry air's pressure, absolute, from 800 to 1100 hPa", "990 hPa")
                         .value_or(ambient.pressure);
  ambient.vapour_pressure = air->quantity("vapour_pressure", Dimension::pressure, 0.0, 9.9e3,
                                          "the pressure of the water in the air, 0 to 99 hPa", "12 hPa")
                                .value_or(ambient.vapour_pressure);
  ambient.temperature = air->quantity("temperature", Dimension::temperature, 250.0, 330.0,
                                      "a temperature from -23 to 56 C", "25 C")
                            .value_or(ambient.temperature);
  body.take_in(*air);
}

std::vector<PullVariant> read_variants(Body& body, const PullBounds& bounds) {
  std::vector<PullVariant> variants;
  for (Body& one : body.bodies("variants", Need::optional, bounds.variants)) {
    PullVariant variant;
    variant.title = one.text("title", Need::optional, most_letters_of_a_title).value_or("");
    variant.cam =
        one.quantity("cam", Dimension::angle, -60.0 * degree, 60.0 * degree,
                     "crank degrees by which the cam stands earlier than fitted, 60 at most", "4 deg")
            .value_or(0.0);
    variant.operations = one.operations("operations", Need::optional);
    body.take_in(one);
    variants.push_back(std::move(variant));
  }
  if (variants.empty()) {
    variants.push_back({"as it is", 0.0, {}});
  }
  for (std::size_t i = 0; i < variants.size(); ++i) {
    if (variants[i].title.empty()) {
      variants[i].title = fmt::format("variant {}", i + 1);
    }
  }
  return variants;
}

ordered_json variant_json(const PullVariant& variant) {
  ordered_json operations = ordered_json::array();
  for (const ledger::Operation& operation : variant.operations) {
    ordered_json one{{"path", operation.path}};
    if (operation.value) {
      one["value"] = *operation.value;
    }
    operations.push_back(std::move(one));
  }
  return {{"title", variant.title}, {"cam", variant.cam}, {"operations", std::move(operations)}};
}

}  // namespace

PullOrder read_order(Body& body, const PullBounds& bounds) {
  PullOrder order;
  read_speeds(body, order.options);
  read_air(body, order.options.ambient);
  order.options.doubts = body.flag("doubts");
  order.options.dynamic = body.flag("dynamic");
  order.options.traces = true;
  const auto cylinder = body.whole("trace_cylinder", Need::optional);
  const bool none = cylinder && (*cylinder < 1 || *cylinder > most_cylinders);
  if (none) {
    body.note({"trace_cylinder", std::to_string(*cylinder), "a cylinder's number", "1"});
  }
  order.options.trace_cylinder = none ? 1 : static_cast<int>(cylinder.value_or(1));
  order.variants = read_variants(body, bounds);
  const std::size_t points = order.speeds() * order.variants.size();
  if (points > bounds.points) {
    body.note({"step", fmt::format("{} speeds times {} variants", order.speeds(), order.variants.size()),
               fmt::format("at most {} points in all: a wider step, or fewer variants", bounds.points),
               "\"500 rpm\""});
  }
  return order;
}

ordered_json order_json(const PullOrder& order) {
  const pull::PullOptions& o = order.options;
  ordered_json variants = ordered_json::array();
  for (const PullVariant& variant : order.variants) {
    variants.push_back(variant_json(variant));
  }
  return {{"from", o.from},
          {"to", o.to},
          {"step", o.step},
          {"air",
           {{"pressure", o.ambient.pressure},
            {"vapour_pressure", o.ambient.vapour_pressure},
            {"temperature", o.ambient.temperature}}},
          {"doubts", o.doubts},
          {"dynamic", o.dynamic},
          {"trace_cylinder", o.trace_cylinder},
          {"variants", std::move(variants)}};
}

}  // namespace fettle::serve
