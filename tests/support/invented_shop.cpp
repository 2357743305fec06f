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

const std::vector<int> firing_order{1, 8, 4, 3, 6, 5, 7, 2};

// The card. Invented.
constexpr double intake_centre = 108;
constexpr double exhaust_centre = 114;
constexpr double intake_lift = 0.2980;
constexpr double exhaust_lift = 0.3050;
struct CardRow {
  double at_in, intake_deg, exhaust_deg;
};
constexpr CardRow card_rows[] = {{0.006, 264, 272}, {0.050, 212, 221}, {0.200, 122, 131}};

Length typed_inches(double inches, int decimals) {
  return Length::typed(inches * inch, fmt::format("{:.{}f} in", inches, decimals));
}
Angle typed_degrees(double degrees) {
  return Angle::typed(degrees * degree, fmt::format("{:g} deg", degrees));
}
build::Measure measure(double value, const char* unit, double si, quantity::Dimension dimension) {
  return {dimension, value * si, fmt::format("{:g} {}", value, unit)};
}
build::Measure degrees_measure(double value) {
  return measure(value, "deg", degree, quantity::Dimension::angle);
}
build::Measure inches_measure(double value) {
  return measure(value, "in", inch, quantity::Dimension::length);
}

mechanism::SynthesisedLobe made_lobe(Valve valve, double asymmetry_deg) {
  const bool intake = valve == Valve::intake;
  mechanism::LobeCard card{(intake ? intake_lift : exhaust_lift) * inch, 0, {}};
  for (const CardRow& row : card_rows) {
    const double half = (intake ? row.intake_deg : row.exhaust_deg) / 2 * degree;
    const double longer = asymmetry_deg * degree;
    card.events.push_back({row.at_in * inch, -half + longer, half + longer});
  }
  return mechanism::synthesise_lobe(card);
}

}  // namespace

Shop::Shop(std::uint64_t seed, const ShopOptions& options)
    : options_(options),
      crank_({.crank_throw = 1.72 * inch, .rod_length = 5.86 * inch, .pin_offset = 0.045 * inch}),
      phases_(mechanism::FiringPlan{firing_order, {}}),
      intake_(made_lobe(Valve::intake, options.asymmetry_deg)),
      exhaust_(made_lobe(Valve::exhaust, options.asymmetry_deg)),
      engine_(seed) {
  truth_.tdc_on_wheel = mechanism::wrap_positive(uniform(180 * degree), full_turn);
  truth_.cam_lateness = options.cam_lateness_deg * degree;
  truth_.slack = options.slack_deg * degree;
  const double amplitude = std::abs(uniform(options.wheel_permissible_deg * degree));
  const double phase = uniform(std::numbers::pi);
  error_cosine_ = amplitude * std::cos(phase);
  error_sine_ = amplitude * std::sin(phase);
  dial_error_ = uniform(options.dial_permissible_in * inch);
  // Evenly spread, so that the earliest and the latest lobe of each kind stand clear of the rest.
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    for (int cylinder = 1; cylinder <= 8; ++cylinder) {
      const int rank = (5 * cylinder + (valve == Valve::intake ? 0 : 3)) % 8;
      truth_.lobe_lateness[{cylinder, valve}] = options.lobe_scatter_deg * degree * (rank - 3.5) / 3.5;
      truth_.lobe_lift_factor[{cylinder, valve}] = 1 + uniform(0.002);
    }
  }
}

double Shop::uniform(double half_width) {
  // 53 random bits, so that the draw does not depend on a standard library's distributions.
  const double unit = static_cast<double>(engine_() >> 11) * 0x1p-53;
  return half_width * (2 * unit - 1);
}

double Shop::normal(double u) {
  const double radius = std::sqrt(-2 * std::log(0.5 + 0.5 * uniform(1 - 1e-12)));
  return u * radius * std::cos(uniform(std::numbers::pi));
}

const mechanism::SynthesisedLobe& Shop::shape(Valve valve) const {
  return valve == Valve::intake ? intake_ : exhaust_;
}

namespace {

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
  const double card = (key.valve == Valve::intake ? intake_centre : -exhaust_centre) * degree;
  return card - options_.fitted_deg * degree + truth_.cam_lateness + truth_.lobe_lateness.at(key);
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

std::string Shop::inches(double metres) const {
  return fmt::format("{:.4f} in", metres / inch);
}

build::SweepPoint Shop::point(double wheel, double height) const {
  build::SweepPoint point;
  point.wheel.radians = wheel;
  point.wheel.typed = degrees(wheel);
  point.lift = Length::typed(height, inches(height));
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
  reading.id = fmt::format("r{}", ++counters_["r"]);
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
  reading.id = fmt::format("r{}", ++counters_["r"]);
  reading.kind = build::ReadingKind::tdc_drop;
  reading.cylinder = cylinder;
  reading.side = side;
  reading.drop = typed_inches(drop_in, 4);
  const double wheel = read_wheel(wheel_of(angle));
  reading.wheel = build::WheelMark{wheel, degrees(wheel)};
  reading.tool = "wheel";
  reading.lift_tool = "dial";
  return reading;
}

build::Reading Shop::tdc_sweep(int cylinder) {
  build::Reading reading;
  reading.id = fmt::format("r{}", ++counters_["r"]);
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
  reading.id = fmt::format("r{}", ++counters_["r"]);
  reading.kind = build::ReadingKind::lobe_sweep;
  reading.cylinder = key.cylinder;
  reading.valve = key.valve;
  reading.turning = turning;
  reading.tool = "wheel";
  reading.lift_tool = "dial";
  const double sign = options_.counts_forward ? 1 : -1;
  const double zero = uniform(options_.dial_drift_in * inch);
  const double own_tdc = phases_.firing_tdc(key.cylinder) - phases_.firing_tdc(1);
  const double card = (key.valve == Valve::intake ? intake_centre : -exhaust_centre) * degree;
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
  reading.id = fmt::format("r{}", ++counters_["r"]);
  reading.kind = build::ReadingKind::lobe_point;
  reading.cylinder = key.cylinder;
  reading.valve = key.valve;
  reading.side = side;
  reading.turning = Turning::forward;
  (below_max ? reading.below_max : reading.lift) = typed_inches(lift_in, 3);
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
  reading.id = fmt::format("r{}", ++counters_["r"]);
  reading.kind = build::ReadingKind::lobe_top;
  reading.cylinder = key.cylinder;
  reading.valve = key.valve;
  const double height = shown_lift(max_lift(key), 0);
  reading.lift = Length::typed(height, inches(height));
  reading.lift_tool = "dial";
  return reading;
}

build::Build Shop::parts() const {
  build::Build build;
  build.name = "Invented 5.4, bench 2";
  build.engine.layout = "V8";
  build.engine.bank_angle = typed_degrees(90);
  build.engine.firing_order = firing_order;
  build.engine.practice = build::Practice::street_pushrod;
  build.engine.bore = typed_inches(3.97, 3);
  build.engine.stroke = typed_inches(3.44, 3);
  build.engine.rod_length = typed_inches(5.86, 3);
  build.engine.pin_offset = typed_inches(0.045, 3);
  build.cam.emplace();
  build.cam->follower = build::Follower::flat;
  build::CamCard card;
  card.intake = build::LobeCard{typed_degrees(intake_centre), typed_inches(intake_lift, 4), {}, {}};
  card.exhaust = build::LobeCard{typed_degrees(exhaust_centre), typed_inches(exhaust_lift, 4), {}, {}};
  for (const CardRow& row : card_rows) {
    card.intake->durations.push_back({typed_inches(row.at_in, 3), typed_degrees(row.intake_deg)});
    card.exhaust->durations.push_back({typed_inches(row.at_in, 3), typed_degrees(row.exhaust_deg)});
  }
  build.cam->card = std::move(card);
  build.timing_set.emplace();
  for (const double position : {-4.0, -2.0, 0.0, 2.0, 4.0}) {
    build.timing_set->positions.push_back(typed_degrees(position));
  }
  build.timing_set->fitted = typed_degrees(options_.fitted_deg);
  build.timing_set->cam_teeth = 42;
  build.lifters = build::Lifters{build::LifterKind::hydraulic, true, {}, {}, {}};
  build.springs_fitted = build::SpringsFitted::checking;
  build.rockers = build::Rockers{1.5, 1.5, {}};
  add_breathing(build);
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
  dial.resolution = inches_measure(options_.dial_resolution_in);
  dial.permissible_error = inches_measure(options_.dial_permissible_in);
  dial.noise = inches_measure(options_.dial_noise_in);
  dial.drift = inches_measure(options_.dial_drift_in);
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
  for (int cylinder = 1; cylinder <= 8; ++cylinder) {
    build.readings.push_back(lobe_sweep({cylinder, Valve::intake}));
    build.readings.push_back(lobe_sweep({cylinder, Valve::exhaust}));
  }
  build.readings.push_back(lobe_sweep({1, Valve::intake}, Turning::backward));
  read_stop(2);
  return build;
}

}  // namespace fettle::invented
