#include "pull/pull_json.h"

namespace fettle::pull {

namespace {

using nlohmann::ordered_json;

ordered_json maybe(const std::optional<double>& value) {
  return value ? ordered_json(*value) : ordered_json(nullptr);
}

ordered_json cylinder_json(const CylinderPoint& c) {
  return {{"imep", c.imep},
          {"pmep", c.pmep},
          {"volumetric_efficiency", c.volumetric_efficiency},
          {"residual", c.residual},
          {"trapping", c.trapping},
          {"trapped_mass", c.trapped_mass},
          {"peak_pressure", c.peak_pressure},
          {"peak_angle", c.peak_angle},
          {"knock_integral", c.knock_integral},
          {"exhaust_temperature", c.exhaust_temperature},
          {"burn_duration", c.burn_duration},
          {"half_burned", c.half_burned}};
}

ordered_json point_json(const SpeedPoint& p, Traces traces) {
  ordered_json json = {{"speed", p.speed},
                       {"converged", p.converged},
                       {"alternates", p.alternates},
                       {"why", p.why},
                       {"cycles", p.cycles},
                       {"steps", p.steps},
                       {"last_change", p.last_change},
                       {"brake_torque", p.brake_torque},
                       {"indicated_torque", p.indicated_torque},
                       {"friction_torque", p.friction_torque},
                       {"brake_power", p.brake_power},
                       {"bmep", p.bmep},
                       {"imep", p.imep},
                       {"pmep", p.pmep},
                       {"fmep", p.fmep},
                       {"volumetric_efficiency", p.volumetric_efficiency},
                       {"residual", p.residual},
                       {"trapping", p.trapping},
                       {"air_flow", p.air_flow},
                       {"fuel_flow", p.fuel_flow},
                       {"fuel_consumption", maybe(p.fuel_consumption)},
                       {"exhaust_temperature", p.exhaust_temperature},
                       {"peak_pressure", p.peak_pressure},
                       {"advance", p.advance},
                       {"knock_integral", p.knock_integral},
                       {"knock_advance", maybe(p.knock_advance)},
                       {"spark_held_back", p.spark_held_back},
                       {"torque_sae", p.torque_sae},
                       {"torque_iso", p.torque_iso},
                       {"mass_error", p.mass_error},
                       {"energy_error", p.energy_error}};
  json["cylinders"] = ordered_json::array();
  for (const CylinderPoint& c : p.cylinders) {
    json["cylinders"].push_back(cylinder_json(c));
  }
  if (p.trace && traces == Traces::with) {
    json["trace"] = trace_json(*p.trace);
  }
  return json;
}

}  // namespace

ordered_json trace_json(const Trace& t) {
  return {{"angle", t.angle},
          {"volume", t.volume},
          {"pressure", t.pressure},
          {"temperature", t.temperature},
          {"intake_pressure", t.intake_pressure},
          {"exhaust_pressure", t.exhaust_pressure},
          {"intake_lift", t.intake_lift},
          {"exhaust_lift", t.exhaust_lift}};
}

ordered_json assumptions_json(const std::vector<Assumption>& assumptions) {
  ordered_json list = ordered_json::array();
  for (const Assumption& a : assumptions) {
    ordered_json one = {{"text", a.text}, {"value", a.value}};
    if (a.dimension) {
      one["si"] = a.si;
      one["unit"] = quantity::si_unit(*a.dimension);
    }
    list.push_back(std::move(one));
  }
  return list;
}

ordered_json pull_json(const PullResult& result, Traces traces) {
  ordered_json json = {{"prediction", true},
                       {"cautions", result.cautions},
                       {"displacement", result.displacement},
                       {"compression_ratio", result.compression_ratio},
                       {"sae_factor", result.sae_factor},
                       {"iso_factor", result.iso_factor},
                       {"cancelled", result.cancelled}};
  json["curves"] = ordered_json::array();
  for (const Curve& curve : result.curves) {
    ordered_json points = ordered_json::array();
    for (const SpeedPoint& point : curve.points) {
      points.push_back(point_json(point, traces));
    }
    json["curves"].push_back({{"cam_advance", curve.cam_advance}, {"points", std::move(points)}});
  }
  json["doubts"] = ordered_json::array();
  for (const TorqueDoubt& doubt : result.doubts) {
    ordered_json one = {{"source", doubt.source}, {"finding", doubt.finding}, {"u", maybe(doubt.u)}};
    for (const TorqueDoubt::At& at : doubt.at) {
      one["at"].push_back({{"speed", at.speed}, {"per_unit", at.per_unit}, {"torque_u", maybe(at.torque_u)}});
    }
    json["doubts"].push_back(std::move(one));
  }
  json["assumptions"] = assumptions_json(result.assumptions);
  return json;
}

}  // namespace fettle::pull
