#include "pull/observer.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

namespace fettle::pull {

namespace {

constexpr double pi = std::numbers::pi;
constexpr double cycle = 4.0 * pi;
constexpr double sample_every = pi / 180.0;

double lift_at(const ValvePlan& valve, double angle) {
  const auto n = valve.lift.size();
  const double place = angle / cycle * static_cast<double>(n);
  const auto i = static_cast<std::size_t>(place);
  const double part = place - std::floor(place);
  return (1.0 - part) * valve.lift[i % n] + part * valve.lift[(i + 1) % n];
}

}  // namespace

Observer::Observer(const EnginePlan& plan, const Assembled& assembled, double speed,
                   std::optional<int> traced)
    : plan_(plan),
      gas_(gases_of(plan)),
      intake_ends_(assembled.intake_ends),
      exhaust_ends_(assembled.exhaust_ends),
      speed_(speed),
      exhaust_(assembled.exhaust_ends.size()) {
  if (traced) {
    traced_ = static_cast<std::size_t>(*traced) - 1;
  }
}

void Observer::look(double angle, const gasflow::Engine& engine) {
  if (angle <= last_angle_) {  // another cycle
    last_angle_ = 0.0;
    next_sample_ = 0.0;
    std::fill(exhaust_.begin(), exhaust_.end(), Sum{});
    trace_ = {};
  }
  const double dt = (angle - last_angle_) / speed_;
  last_angle_ = angle;
  for (std::size_t i = 0; i < exhaust_ends_.size(); ++i) {
    const gasflow::EndFlowRate flow = engine.network().flow(exhaust_ends_[i]);
    exhaust_[i].mass -= dt * flow.mass;
    exhaust_[i].energy -= dt * flow.energy;
    exhaust_[i].burned -= dt * flow.burned;
  }
  if (traced_ && angle >= next_sample_) {
    next_sample_ = angle + sample_every;
    keep(engine);
  }
}

void Observer::keep(const gasflow::Engine& engine) {
  const gasflow::Cylinder& c = engine.cylinder(*traced_);
  const gasflow::GasState gas = c.state();
  const gasflow::Network& net = engine.network();
  const std::size_t in = intake_ends_[*traced_].duct;
  trace_.angle.push_back(c.angle());
  trace_.volume.push_back(c.volume());
  trace_.pressure.push_back(gas.pressure);
  trace_.temperature.push_back(gas.temperature);
  trace_.intake_pressure.push_back(net.state(in, net.cells(in) - 1).pressure);
  trace_.exhaust_pressure.push_back(net.state(exhaust_ends_[*traced_].duct, 0).pressure);
  trace_.intake_lift.push_back(lift_at(plan_.cylinders[*traced_].intake, c.angle()));
  trace_.exhaust_lift.push_back(lift_at(plan_.cylinders[*traced_].exhaust, c.angle()));
}

double Observer::temperature_of(const Sum& sum) const {
  if (!(sum.mass > 0.0)) {
    return 0.0;
  }
  const double burned = std::clamp(sum.burned / sum.mass, 0.0, 1.0);
  const double wanted = sum.energy / sum.mass;
  double temperature = 900.0;
  for (int i = 0; i < 20; ++i) {  // h(T) is nearly straight
    temperature -= (gas_.enthalpy(temperature, burned) - wanted) / gas_.cp(temperature, burned);
    temperature = std::clamp(temperature, 200.0, 3500.0);
  }
  return temperature;
}

double Observer::exhaust_temperature() const {
  Sum all;
  for (const Sum& one : exhaust_) {
    all.mass += one.mass;
    all.energy += one.energy;
    all.burned += one.burned;
  }
  return temperature_of(all);
}

double Observer::exhaust_temperature(std::size_t cylinder) const {
  return temperature_of(exhaust_.at(cylinder));
}

std::optional<Trace> Observer::trace() const {
  if (!traced_ || trace_.angle.empty()) {
    return std::nullopt;
  }
  std::vector<std::size_t> order(trace_.angle.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::sort(order.begin(), order.end(),
            [&](std::size_t a, std::size_t b) { return trace_.angle[a] < trace_.angle[b]; });
  const auto sorted = [&](const std::vector<double>& values) {
    std::vector<double> out;
    out.reserve(order.size());
    for (const std::size_t i : order) {
      out.push_back(values[i]);
    }
    return out;
  };
  return Trace{sorted(trace_.angle),       sorted(trace_.volume),          sorted(trace_.pressure),
               sorted(trace_.temperature), sorted(trace_.intake_pressure), sorted(trace_.exhaust_pressure),
               sorted(trace_.intake_lift), sorted(trace_.exhaust_lift)};
}

}  // namespace fettle::pull
