#include "support/invented_shop.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "mechanism/circular.h"

namespace fettle::invented {
namespace {

using build::Side;
using build::Turning;
using build::Valve;
using mechanism::full_cycle;
using mechanism::full_turn;
using quantity::Angle;
using quantity::Length;
using stations::LobeKey;

Angle typed_degrees(double degrees) {
  return Angle::typed(degrees * degree, fmt::format("{:g} deg", degrees));
}
build::Measure measure(double value, const char* unit, double si, quantity::Dimension dimension) {
  return {dimension, value * si, fmt::format("{:g} {}", value, unit)};
}
build::Measure degrees_measure(double value) {
  return measure(value, "deg", degree, quantity::Dimension::angle);
}
mechanism::FiringPlan firing_plan(const EnginePlan& plan) {
  mechanism::FiringPlan firing{plan.firing_order, {}};
  for (const double interval : plan.firing_intervals_deg) {
    firing.intervals.push_back(interval * degree);
  }
  return firing;
}
mechanism::SynthesisedLobe made_lobe(const ValvePlan& plan, double asymmetry_deg) {
  mechanism::LobeCard card{plan.lobe_lift, 0, {}};
  for (const CardRow& row : plan.card) {
    const double half = row.duration_deg / 2 * degree;
    const double longer = asymmetry_deg * degree;
    card.events.push_back({row.at, -half + longer, half + longer});
  }
  return mechanism::synthesise_lobe(card);
}

}  // namespace

Shop::Shop(std::uint64_t seed, const ShopOptions& options, const EnginePlan& plan)
    : options_(options),
      plan_(plan),
      crank_({.crank_throw = plan.stroke / 2,
              .rod_length = plan.rod_length,
              .pin_offset = plan.pin_offset.value_or(0)}),
      phases_(firing_plan(plan)),
      intake_(made_lobe(plan.intake, options.asymmetry_deg)),
      exhaust_(made_lobe(plan.exhaust, options.asymmetry_deg)),
      draws_(seed) {
  truth_.tdc_on_wheel = mechanism::wrap_positive(uniform(180 * degree), full_turn);
  truth_.cam_lateness = options.cam_lateness_deg * degree;
  truth_.exhaust_lateness = plan.cams_apart ? options.exhaust_lateness_deg * degree : truth_.cam_lateness;
  truth_.slack = options.slack_deg * degree;
  const double amplitude = std::abs(uniform(options.wheel_permissible_deg * degree));
  const double phase = uniform(std::numbers::pi);
  error_cosine_ = amplitude * std::cos(phase);
  error_sine_ = amplitude * std::sin(phase);
  dial_error_ = uniform(options.dial_permissible_in * inch);
  // Evenly spread, so that the earliest and the latest lobe of each kind stand clear of the rest.
  const int cylinders = plan.cylinders();
  const double middle = (cylinders - 1) / 2.0;
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    for (int cylinder = 1; cylinder <= cylinders; ++cylinder) {
      const int rank = (5 * cylinder + (valve == Valve::intake ? 0 : 3)) % cylinders;
      truth_.lobe_lateness[{cylinder, valve}] = options.lobe_scatter_deg * degree * (rank - middle) / middle;
      truth_.lobe_lift_factor[{cylinder, valve}] = 1 + uniform(0.002);
    }
  }
}

const mechanism::SynthesisedLobe& Shop::shape(Valve valve) const {
  return valve == Valve::intake ? intake_ : exhaust_;
}

namespace {

build::Length typed_inches(double inches, int decimals) {
  return build::Length::typed(inches * inch, fmt::format("{:.{}f} in", inches, decimals));
}

build::FlowPoint flow_point(double lift_in, double flow_cfm) {
  constexpr double cfm = 0.3048 * 0.3048 * 0.3048 / 60;
  return {
      typed_inches(lift_in, 3), quantity::Flow::typed(flow_cfm * cfm, fmt::format("{:g} cfm", flow_cfm)), {}};
}

/// How the engine breathes and burns. Invented.
void add_breathing(build::Build& build) {
  build.engine.compression_ratio = 9.6;
  build::HeadPort intake;
  intake.throat_diameter = typed_inches(1.68, 2);
  intake.length = typed_inches(4.1, 1);
  intake.diameter = typed_inches(1.76, 2);
  intake.flow = {flow_point(0.05, 31), flow_point(0.1, 63),  flow_point(0.2, 122),
                 flow_point(0.3, 171), flow_point(0.4, 201), flow_point(0.5, 212)};
  build::HeadPort exhaust;
  exhaust.throat_diameter = typed_inches(1.34, 2);
  exhaust.length = typed_inches(2.9, 1);
  exhaust.diameter = typed_inches(1.46, 2);
  exhaust.flow = {flow_point(0.05, 25), flow_point(0.1, 51),  flow_point(0.2, 97),
                  flow_point(0.3, 129), flow_point(0.4, 148), flow_point(0.5, 156)};
  build.head = build::Head{{}, typed_inches(0.85, 2), intake, exhaust};
  build.intake.emplace();
  build.intake->runner_length = typed_inches(6.2, 1);
  build.intake->runner_diameter = typed_inches(1.82, 2);
  build.intake->plenum_volume = quantity::Volume::typed(2.1e-3, "2.1 L");
  build.intake->throttles = 4;
  build.intake->throttle_bore = typed_inches(1.62, 2);
  build.exhaust.emplace();
  build.exhaust->primary_length = typed_inches(33, 0);
  build.exhaust->primary_diameter = typed_inches(1.6, 1);
  build.exhaust->groups = {{1, 3, 5, 7}, {2, 4, 6, 8}};
  build.exhaust->collector_length = typed_inches(11, 0);
  build.exhaust->collector_diameter = typed_inches(2.9, 1);
  build.exhaust->tail_length = typed_inches(45, 0);
  build.exhaust->tail_diameter = typed_inches(2.4, 1);
  build.fuel.emplace();
  build.fuel->octane = 95;
  build.fuel->lambda = 0.88;
}

}  // namespace

/// Crank angle of the lobe's own zero (its top), signed from its cylinder's overlap TDC.
double Shop::centre(const LobeKey& key) const {
  const bool intake = key.valve == Valve::intake;
  const double card = (intake ? plan_.intake.centre_deg : -plan_.exhaust.centre_deg) * degree;
  const double late = intake ? truth_.cam_lateness : truth_.exhaust_lateness;
  return card - options_.fitted_deg * degree + late + truth_.lobe_lateness.at(key);
}

double Shop::lift(const LobeKey& key, double crank_angle) const {
  const double own = crank_angle - (phases_.firing_tdc(key.cylinder) - phases_.firing_tdc(1));
  return truth_.lobe_lift_factor.at(key) * shape(key.valve).curve->value(own - centre(key));
}

double Shop::max_lift(const LobeKey& key) const {
  return truth_.lobe_lift_factor.at(key) * shape(key.valve).curve->value(0);
}

double Shop::top(const LobeKey& key) const {
  return centre(key);
}

double Shop::event(const LobeKey& key, Side side, double lift) const {
  const auto& curve = *shape(key.valve).curve;
  const double wanted = lift / truth_.lobe_lift_factor.at(key);
  double low = side == Side::opening ? shape(key.valve).lift_start : shape(key.valve).lift_end;
  double high = 0;
  for (int i = 0; i < 80; ++i) {
    const double middle = (low + high) / 2;
    (curve.value(middle) < wanted ? low : high) = middle;
  }
  return centre(key) + (low + high) / 2;
}

double Shop::wheel_of(double crank_angle) const {
  const double sign = options_.counts_forward ? 1 : -1;
  return truth_.tdc_on_wheel + sign * crank_angle;
}

double Shop::wheel_error(double wheel) const {
  return error_cosine_ * std::cos(wheel) + error_sine_ * std::sin(wheel);
}

double Shop::read_wheel(double true_wheel) {
  const double seen = true_wheel + wheel_error(true_wheel) + uniform(options_.wheel_parallax_deg * degree);
  const double step = options_.wheel_resolution_deg * degree;
  return mechanism::wrap_positive(std::round(seen / step) * step, full_turn);
}

std::string Shop::degrees(double radians) const {
  return fmt::format("{:g} deg", std::round(radians / degree * 1000) / 1000);
}

std::string Shop::length_text(double metres, int decimals_in) const {
  return plan_.metric ? fmt::format("{:.{}f} mm", metres * 1e3, decimals_in - 1)
                      : fmt::format("{:.{}f} in", metres / inch, decimals_in);
}

build::Length Shop::typed(double metres, int decimals_in) const {
  return Length::typed(metres, length_text(metres, decimals_in));
}

build::Measure Shop::length_figure(double value_in) const {
  return plan_.metric ? measure(value_in * 25.4, "mm", 1e-3, quantity::Dimension::length)
                      : measure(value_in, "in", inch, quantity::Dimension::length);
}

std::string Shop::next_id() {
  return fmt::format("r{}", ++counters_["r"]);
}

build::WheelMark Shop::wheel_at(double crank_angle) {
  const double wheel = read_wheel(wheel_of(crank_angle));
  return build::WheelMark{wheel, degrees(wheel)};
}

build::SweepPoint Shop::point(double wheel, double height) const {
  build::SweepPoint point;
  point.wheel.radians = wheel;
  point.wheel.typed = degrees(wheel);
  point.lift = Length::typed(height, length_text(height));
  return point;
}

double Shop::shown_lift(double lift, double zero) {
  constexpr double full_error_from = 0.004 * inch;
  const double error = dial_error_ * std::clamp(lift / full_error_from, 0.0, 1.0);
  const double step = options_.dial_resolution_in * inch;
  const double seen = lift + error + zero + normal(options_.dial_noise_in * inch);
  return step > 0 ? std::round(seen / step) * step : seen;
}

build::Reading Shop::stop(Turning turning, double span_deg, int pass, int cylinder) {
  const double span = span_deg * degree;
  const double middle = crank_.stop_midpoint_offset(span);
  const double contact =
      phases_.crank_phase(cylinder) + middle + (turning == Turning::forward ? -span / 2 : span / 2);
  build::Reading reading;
  reading.id = next_id();
  reading.kind = build::ReadingKind::stop_contact;
  reading.cylinder = cylinder;
  reading.turning = turning;
  const double wheel = read_wheel(wheel_of(contact));
  reading.wheel = build::WheelMark{wheel, degrees(wheel)};
  reading.pass = pass;
  reading.tool = "wheel";
  return reading;
}

build::Reading Shop::drop(Side side, double drop_in, int cylinder) {
  const auto crossing = crank_.angles_at_depth(drop_in * inch - dial_error_);
  const double angle =
      phases_.crank_phase(cylinder) + (side == Side::before ? crossing->before : crossing->after);
  build::Reading reading;
  reading.id = next_id();
  reading.kind = build::ReadingKind::tdc_drop;
  reading.cylinder = cylinder;
  reading.side = side;
  reading.drop = typed(drop_in * inch, 4);
  const double wheel = read_wheel(wheel_of(angle));
  reading.wheel = build::WheelMark{wheel, degrees(wheel)};
  reading.tool = "wheel";
  reading.lift_tool = "dial";
  return reading;
}

build::Reading Shop::tdc_sweep(int cylinder) {
  build::Reading reading;
  reading.id = next_id();
  reading.kind = build::ReadingKind::tdc_sweep;
  reading.cylinder = cylinder;
  reading.tool = "wheel";
  reading.lift_tool = "dial";
  const double middle = wheel_of(phases_.crank_phase(cylinder));
  for (int i = -10; i <= 10; ++i) {
    const double mark = std::round(middle / degree + 2.0 * i) * degree;
    const double true_wheel = mark - wheel_error(mark) + uniform(options_.wheel_parallax_deg * degree);
    const double sign = options_.counts_forward ? 1 : -1;
    const double after_tdc = sign * (true_wheel - middle);
    const double step = options_.dial_resolution_in * inch;
    const double seen = 0.1 * inch - crank_.depth(after_tdc) + normal(options_.dial_noise_in * inch);
    const double height = std::round(seen / step) * step;
    const double shown = mechanism::wrap_positive(mark, full_turn);
    reading.points.push_back(point(shown, height));
  }
  return reading;
}

build::Reading Shop::lobe_sweep(const LobeKey& key, Turning turning) {
  build::Reading reading;
  reading.id = next_id();
  reading.kind = build::ReadingKind::lobe_sweep;
  reading.cylinder = key.cylinder;
  reading.valve = key.valve;
  reading.turning = turning;
  reading.tool = "wheel";
  reading.lift_tool = "dial";
  const double sign = options_.counts_forward ? 1 : -1;
  const double zero = uniform(options_.dial_drift_in * inch);
  const double own_tdc = phases_.firing_tdc(key.cylinder) - phases_.firing_tdc(1);
  const double card =
      (key.valve == Valve::intake ? plan_.intake.centre_deg : -plan_.exhaust.centre_deg) * degree;
  // The builder sets the crank by the wheel's marks every five degrees, half a turn either side of where the
  // card has the top.
  constexpr int points = 72;
  const double first = std::round(wheel_of(own_tdc + card) / degree / 5) * 5;
  for (int i = 0; i < points; ++i) {
    const int step = turning == Turning::forward ? i - points / 2 : points / 2 - i;
    const double mark = (first + sign * 5.0 * step) * degree;
    const double true_wheel = mark - wheel_error(mark) + uniform(options_.wheel_parallax_deg * degree) +
                              uniform(options_.wheel_resolution_deg / 2 * degree);
    const double crank_angle = sign * (true_wheel - truth_.tdc_on_wheel);
    const double lag = turning == Turning::forward ? 0 : truth_.slack;
    const double shown = mechanism::wrap_positive(mark, full_turn);
    const double height = shown_lift(lift(key, crank_angle + lag), zero);
    reading.points.push_back(point(shown, height));
  }
  return reading;
}

build::Reading Shop::lobe_point(const LobeKey& key, Side side, double lift_in, bool below_max) {
  build::Reading reading;
  reading.id = next_id();
  reading.kind = build::ReadingKind::lobe_point;
  reading.cylinder = key.cylinder;
  reading.valve = key.valve;
  reading.side = side;
  reading.turning = Turning::forward;
  (below_max ? reading.below_max : reading.lift) = typed(lift_in * inch, 3);
  const double indicator =
      dial_error_ + normal(options_.dial_noise_in * inch) + uniform(options_.dial_resolution_in / 2 * inch);
  // The indicator is turned to show the lift wanted: the true one is less by its error.
  const double lift = below_max ? max_lift(key) - (lift_in * inch - indicator) : lift_in * inch - indicator;
  const double own = phases_.crank_phase(key.cylinder);
  const double wheel = read_wheel(wheel_of(own + event(key, side, lift)));
  reading.wheel = build::WheelMark{wheel, degrees(wheel)};
  reading.tool = "wheel";
  reading.lift_tool = "dial";
  return reading;
}

build::Reading Shop::lobe_top(const LobeKey& key) {
  build::Reading reading;
  reading.id = next_id();
  reading.kind = build::ReadingKind::lobe_top;
  reading.cylinder = key.cylinder;
  reading.valve = key.valve;
  const double height = shown_lift(max_lift(key), 0);
  reading.lift = Length::typed(height, length_text(height));
  reading.lift_tool = "dial";
  return reading;
}

build::LobeCard Shop::card_of(Valve valve) const {
  const ValvePlan& plan = plan_.of(valve);
  build::LobeCard card{typed_degrees(plan.centre_deg), typed(plan.lobe_lift, 4), {}, {}};
  for (const CardRow& row : plan.card) {
    card.durations.push_back({typed(row.at, 3), typed_degrees(row.duration_deg)});
  }
  return card;
}

build::TimingSet Shop::timing_set() const {
  build::TimingSet set;
  if (plan_.cams_apart) {
    set.positions = {typed_degrees(-6), typed_degrees(6)};
    set.continuous = true;
    set.exhaust_fitted = typed_degrees(options_.fitted_deg);
    set.cam_teeth = 36;
  } else {
    for (const double position : {-4.0, -2.0, 0.0, 2.0, 4.0}) {
      set.positions.push_back(typed_degrees(position));
    }
    set.cam_teeth = 42;
  }
  set.fitted = typed_degrees(options_.fitted_deg);
  return set;
}

build::Build Shop::parts() const {
  build::Build build;
  build.name = plan_.name;
  build.engine.layout = plan_.layout;
  if (plan_.bank_angle_deg) {
    build.engine.bank_angle = typed_degrees(*plan_.bank_angle_deg);
  }
  build.engine.firing_order = plan_.firing_order;
  for (const double interval : plan_.firing_intervals_deg) {
    build.engine.firing_intervals.push_back(typed_degrees(interval));
  }
  build.engine.banks = plan_.banks;
  build.engine.practice = plan_.practice;
  build.engine.bore = typed(plan_.bore, 3);
  build.engine.stroke = typed(plan_.stroke, 3);
  build.engine.rod_length = typed(plan_.rod_length, 3);
  if (plan_.pin_offset) {
    build.engine.pin_offset = typed(*plan_.pin_offset, 3);
  }
  build.cam.emplace();
  build.cam->follower = plan_.follower;
  build::CamCard card;
  card.intake = card_of(Valve::intake);
  card.exhaust = card_of(Valve::exhaust);
  build.cam->card = std::move(card);
  build.timing_set = timing_set();
  build.lifters = plan_.hydraulic ? build::Lifters{build::LifterKind::hydraulic, true, {}, {}, {}}
                                  : build::Lifters{build::LifterKind::solid, {}, {}, {}, {}};
  build.springs_fitted = build::SpringsFitted::checking;
  if (plan_.follower != build::Follower::bucket) {
    build.rockers = build::Rockers{plan_.rocker_ratio, plan_.rocker_ratio, {}};
  }
  if (plan_.layout == "V8") {
    add_breathing(build);
  }
  build::Tool wheel;
  wheel.kind = build::ToolKind::degree_wheel;
  wheel.resolution = degrees_measure(options_.wheel_resolution_deg);
  wheel.permissible_error = degrees_measure(options_.wheel_permissible_deg);
  wheel.parallax = degrees_measure(options_.wheel_parallax_deg);
  if (!options_.counts_forward) {
    wheel.counts = Turning::backward;
  }
  build::Tool dial;
  dial.kind = build::ToolKind::dial_indicator;
  dial.resolution = length_figure(options_.dial_resolution_in);
  dial.permissible_error = length_figure(options_.dial_permissible_in);
  dial.noise = length_figure(options_.dial_noise_in);
  dial.drift = length_figure(options_.dial_drift_in);
  build.tools = {{"wheel", wheel}, {"dial", dial}};
  return build;
}

build::Build Shop::full_build() {
  build::Build build = parts();
  constexpr double span = 41.6;
  const auto read_stop = [&](int pass) {
    build.readings.push_back(stop(Turning::forward, span, pass));
    build.readings.push_back(stop(Turning::backward, span, pass));
  };
  read_stop(1);
  for (int cylinder = 1; cylinder <= plan_.cylinders(); ++cylinder) {
    build.readings.push_back(lobe_sweep({cylinder, Valve::intake}));
    build.readings.push_back(lobe_sweep({cylinder, Valve::exhaust}));
  }
  build.readings.push_back(lobe_sweep({1, Valve::intake}, Turning::backward));
  read_stop(2);
  return build;
}

}  // namespace fettle::invented
