#include "counsel/counsel_json.h"

#include <cmath>

#include "counsel/sets.h"
#include "stations/report_json.h"

namespace fettle::counsel {
namespace {

using nlohmann::ordered_json;
using stations::Effect;
using stations::Finding;

ordered_json movements(const std::vector<Effect>& effects) {
  std::vector<stations::Movement> all;
  all.reserve(effects.size());
  for (const Effect& effect : effects) {
    all.push_back({&effect.from, &effect.to});
  }
  return ordered_json::parse(stations::movements_json(all));
}

ordered_json finite_or_null(const std::optional<double>& value) {
  return value && std::isfinite(*value) ? ordered_json(*value) : ordered_json(nullptr);
}

ordered_json finding_json(const Finding& finding) {
  const ordered_json movement = ordered_json::parse(stations::movements_json({{&finding, &finding}}))[0];
  ordered_json json{{"id", movement["id"]},
                    {"station", stations::station_of(finding.id)},
                    {"where", movement["where"]},
                    {"unit", movement["unit"]}};
  json.update(movement["to"]);
  if (finding.limit) {
    json["limit"] = {{"min", finite_or_null(finding.limit->min)},
                     {"max", finite_or_null(finding.limit->max)},
                     {"source", finding.limit->source}};
  }
  return json;
}

template <class T>
ordered_json or_null(const std::optional<T>& value) {
  return value ? ordered_json(*value) : ordered_json(nullptr);
}

ordered_json correction_json(const stations::Report& report, std::size_t place) {
  const stations::Correction& correction = report.corrections[place];
  return {{"id", correction.id},
          {"place", place},
          {"station", stations::station_of(correction.id)},
          {"says", correction.says}};
}

ordered_json trouble_json(const stations::Report& report, const Trouble& trouble) {
  ordered_json remedies = ordered_json::array();
  for (const Remedy& remedy : trouble.remedies) {
    ordered_json one = correction_json(report, remedy.correction);
    one["mended"] = remedy.mended;
    one["harmed"] = movements(remedy.harmed);
    remedies.push_back(std::move(one));
  }
  ordered_json json{{"finding", finding_json(trouble.finding)}, {"remedies", std::move(remedies)}};
  if (const auto& settling = trouble.settling) {
    json["settling"] = {{"wanted", finite_or_null(settling->wanted)},
                        {"reading", or_null(settling->reading)},
                        {"times", or_null(settling->times)},
                        {"label", settling->label},
                        {"tool", settling->tool}};
  }
  return json;
}

ordered_json plan_json(const stations::Report& report, const Plan& plan) {
  ordered_json corrections = ordered_json::array();
  ordered_json operations = ordered_json::array();
  for (const std::size_t place : plan.corrections) {
    corrections.push_back(correction_json(report, place));
    for (const stations::Operation& one : report.corrections[place].operations) {
      operations.push_back({{"path", one.path}, {"value", one.value}});
    }
  }
  return {{"corrections", std::move(corrections)}, {"operations", std::move(operations)},
          {"all_hold", plan.all_hold()},           {"fails", plan.fails},
          {"too_close", plan.too_close},           {"effects", movements(plan.effects)}};
}

}  // namespace

ordered_json counsel_json(const Counsel& counsel) {
  const Left left = left_to_mend(counsel.report);
  ordered_json troubles = ordered_json::array();
  for (const Trouble& trouble : counsel.troubles) {
    troubles.push_back(trouble_json(counsel.report, trouble));
  }
  ordered_json plans = ordered_json::array();
  for (const Plan& plan : counsel.plans) {
    plans.push_back(plan_json(counsel.report, plan));
  }
  const auto& next = counsel.report.next_reading;
  return {{"fails", left.fails},
          {"too_close", left.too_close},
          {"troubles", std::move(troubles)},
          {"plans", std::move(plans)},
          {"complete", counsel.complete},
          {"tried", counsel.tried},
          {"next_reading", next ? ordered_json(next->says) : ordered_json(nullptr)}};
}

}  // namespace fettle::counsel
