// What the page draws of the valve train at speed: lift, force and gaps over the crank at many speeds.

#include <algorithm>
#include <cmath>
#include <numbers>

#include "build/names.h"
#include "stations/train.h"
#include "stations/train_speeds.h"

namespace fettle::stations {
namespace {

using build::Valve;
using nlohmann::ordered_json;

constexpr double degree = std::numbers::pi / 180;
constexpr double step = 2 * degree;

/// Places over the crank, from the lobe's top, at which everything is given.
struct Window {
  double from = 0;
  int count = 0;
};

/// A little more than the valve is open for: what bounces does so after it should have closed.
Window window_of(const mechanism::RunningTrace& trace) {
  double opens = 0;
  double closes = 0;
  for (std::size_t i = 0; i < trace.rigid_lift.size(); ++i) {
    if (trace.rigid_lift[i] > 0) {
      const double at = trace.step * static_cast<double>(i + 1) - 2 * std::numbers::pi;
      opens = std::min(opens, at);
      closes = std::max(closes, at);
    }
  }
  constexpr double before = 10 * degree;
  constexpr double after = 50 * degree;
  const double from = std::floor((opens - before) / step);
  return {from * step, static_cast<int>(std::ceil((closes + after) / step) - from) + 1};
}

/// The samples about each place of the window, brought to one number and to whole `units` of it.
template <class Bring>
ordered_json along(const Window& window, const mechanism::RunningTrace& trace,
                   const std::vector<double>& samples, double units, Bring bring) {
  ordered_json list = ordered_json::array();
  const auto last = static_cast<std::ptrdiff_t>(samples.size()) - 1;
  const auto sample = [&](double angle) {
    const double at = std::round((angle + 2 * std::numbers::pi) / trace.step) - 1;
    return std::clamp(static_cast<std::ptrdiff_t>(at), std::ptrdiff_t{0}, last);
  };
  for (int i = 0; i < window.count; ++i) {
    const double angle = window.from + step * i;
    const auto from = samples.begin() + sample(angle - step / 2);
    const auto middle = samples.begin() + sample(angle);
    const auto to = samples.begin() + sample(angle + step / 2) + 1;
    list.push_back(std::round(bring(from, middle, to) * units) / units);
  }
  return list;
}

constexpr double micrometres = 1e6;
constexpr double newtons = 1;
constexpr auto middle_one = [](auto /*from*/, auto middle, auto /*to*/) { return *middle; };
// A gap narrower than a step is a gap.
constexpr auto greatest = [](auto from, auto /*middle*/, auto to) { return *std::max_element(from, to); };

ordered_json one_speed(const mechanism::RunningState& state, const Window& window) {
  constexpr int orders = 24;
  const auto& trace = *state.trace;
  return {{"speed", state.speed},
          {"repeats", state.periodic},
          {"separates", state.least_squeeze <= 0},
          {"least_force", state.least_cam_force},
          {"greatest_force", state.greatest_cam_force},
          {"loft", state.loft},
          {"deflection", state.deflection},
          {"bounce", state.bounce},
          {"surge", state.surge},
          {"surge_orders", mechanism::surge_orders(trace, orders)},
          {"lift", along(window, trace, trace.lift, micrometres, middle_one)},
          {"force", along(window, trace, trace.cam_force, newtons, middle_one)},
          {"gap", along(window, trace, trace.gap, micrometres, greatest)}};
}

/// The train at speeds up to a fifth past the redline, which is one of them.
ordered_json one_train(const Sources& sources, const LobeKey& key) {
  const Observed observed(sources, sources.estimates());
  const auto known = train_setup(observed, key);
  if (!known.setup) {
    return nullptr;
  }
  const TrainSetup& setup = *known.setup;
  constexpr int count = 24;
  std::vector<double> speeds;
  for (int i = 1; i <= count; ++i) {
    speeds.push_back(setup.redline * (0.4 + 0.8 * i / count));
  }
  mechanism::DynamicsOptions options;
  options.traces = true;
  const auto states = mechanism::run_valve(setup.running(), setup.train, speeds, options);
  const auto& own = *states.front().trace;
  const Window window = window_of(own);
  const mechanism::ChainSpring& spring = setup.train.springs.front();
  ordered_json json{{"cylinder", key.cylinder},
                    {"valve", std::string(build::word(key.valve))},
                    {"redline", setup.redline},
                    {"basis", setup.basis},
                    // A wave in a coil held at both ends: ω = π sqrt(k/m).
                    {"spring_frequency", std::numbers::pi * std::sqrt(spring.rate / spring.active_mass)},
                    {"from", window.from},
                    {"step", step},
                    {"rigid_lift", along(window, own, own.rigid_lift, micrometres, middle_one)}};
  json["speeds"] = ordered_json::array();
  for (const auto& state : states) {
    json["speeds"].push_back(one_speed(state, window));
  }
  return json;
}

}  // namespace

ordered_json train_picture(const Sources& sources, const Report& /*report*/) {
  ordered_json json{{"trains", ordered_json::array()}};
  if (!train_concerns(sources.build())) {
    return json;
  }
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    auto one = one_train(sources, weakest_valve(sources, valve));
    if (!one.is_null()) {
      json["trains"].push_back(std::move(one));
    }
  }
  return json;
}

}  // namespace fettle::stations
