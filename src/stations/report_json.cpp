#include "stations/report_json.h"

#include <cmath>

#include "build/findings.h"
#include "build/names.h"

namespace fettle::stations {
namespace {

using nlohmann::ordered_json;

ordered_json number_or_null(const std::optional<double>& value) {
  return value && std::isfinite(*value) ? ordered_json(*value) : ordered_json(nullptr);
}

ordered_json where_json(const Where& where) {
  ordered_json json = ordered_json::object();
  if (where.cylinder) {
    json["cylinder"] = *where.cylinder;
  }
  if (where.valve) {
    json["valve"] = std::string(build::word(*where.valve));
  }
  if (where.at) {
    json["at"] = *where.at;
  }
  return json;
}

std::string unit_of(const std::string& id) {
  const build::FindingKind* kind = build::finding_kind(id);
  return kind == nullptr ? "" : std::string(quantity::si_unit(kind->dimension));
}

/// The word of a verdict on the wire.
ordered_json verdict_json(const std::optional<metrology::Verdict>& verdict) {
  if (!verdict) {
    return nullptr;
  }
  return *verdict == metrology::Verdict::too_close ? "too_close" : std::string(metrology::name(*verdict));
}

ordered_json limit_json(const LimitInForce& limit) {
  return {{"min", number_or_null(limit.min)}, {"max", number_or_null(limit.max)}, {"source", limit.source}};
}

ordered_json shares_json(const std::vector<Share>& shares) {
  ordered_json list = ordered_json::array();
  for (const Share& share : shares) {
    ordered_json one = ordered_json::object();
    if (share.reading) {
      one["reading"] = *share.reading;
    } else {
      one["tool"] = share.tool;
    }
    one["label"] = share.label;
    one["share"] = share.share;
    list.push_back(std::move(one));
  }
  return list;
}

ordered_json side_of_effect(const Finding& finding) {
  return {{"value", number_or_null(finding.value)},
          {"expanded", finding.expanded},
          {"verdict", verdict_json(finding.verdict)}};
}

ordered_json correction_json(const Correction& correction) {
  ordered_json json{{"id", correction.id},
                    {"station", station_of(correction.id)},
                    {"says", correction.says},
                    {"recommended", correction.recommended}};
  json["operations"] = ordered_json::array();
  for (const Operation& operation : correction.operations) {
    json["operations"].push_back({{"path", operation.path}, {"value", operation.value}});
  }
  json["effects"] = ordered_json::array();
  for (const Effect& effect : correction.effects) {
    json["effects"].push_back({{"id", effect.from.id},
                               {"where", where_json(effect.from.where)},
                               {"unit", unit_of(effect.from.id)},
                               {"from", side_of_effect(effect.from)},
                               {"to", side_of_effect(effect.to)}});
  }
  return json;
}

ordered_json mistake_json(const Mistake& mistake) {
  ordered_json json{{"id", mistake.id}, {"station", station_of(mistake.id)}, {"readings", mistake.readings}};
  json["cylinder"] = mistake.cylinder ? ordered_json(*mistake.cylinder) : ordered_json(nullptr);
  json["says"] = mistake.says;
  json["do_next"] = mistake.do_next;
  return json;
}

ordered_json next_reading_json(const NextReading& next) {
  ordered_json json{{"says", next.says}, {"station", station_of(next.finding)}};
  json["reading"] = next.reading ? ordered_json(*next.reading) : ordered_json(nullptr);
  json["tool"] = next.tool;
  json["finding"] = next.finding;
  json["where"] = where_json(next.where);
  json["expanded_from"] = next.expanded_from;
  json["expanded_to"] = next.expanded_to;
  return json;
}

}  // namespace

std::string station_of(const std::string& id) {
  return id.substr(0, id.find('.'));
}

ordered_json finding_json(const Finding& finding) {
  ordered_json json{{"id", finding.id},
                    {"station", station_of(finding.id)},
                    {"where", where_json(finding.where)},
                    {"unit", unit_of(finding.id)},
                    {"value", number_or_null(finding.value)}};
  if (finding.value) {
    json["u"] = finding.u;
    json["dof"] = number_or_null(finding.dof);
    json["expanded"] = finding.expanded;
  }
  if (finding.limit) {
    json["limit"] = limit_json(*finding.limit);
  }
  json["verdict"] = verdict_json(finding.verdict);
  if (!finding.basis.empty()) {
    json["basis"] = finding.basis;
  }
  if (!finding.needs.empty()) {
    json["needs"] = finding.needs;
  }
  json["shares"] = shares_json(finding.shares);
  if (finding.trials) {
    json["trials"] = {{"mean", finding.trials->mean},
                      {"u", finding.trials->u},
                      {"low", finding.trials->low},
                      {"high", finding.trials->high}};
  }
  return json;
}

ordered_json report_json(const Report& report) {
  ordered_json json;
  json["findings"] = ordered_json::array();
  for (const Finding& finding : report.findings) {
    json["findings"].push_back(finding_json(finding));
  }
  json["mistakes"] = ordered_json::array();
  for (const Mistake& mistake : report.mistakes) {
    json["mistakes"].push_back(mistake_json(mistake));
  }
  json["corrections"] = ordered_json::array();
  for (const Correction& correction : report.corrections) {
    json["corrections"].push_back(correction_json(correction));
  }
  json["next_reading"] =
      report.next_reading ? next_reading_json(*report.next_reading) : ordered_json(nullptr);
  json["assumptions"] = report.assumptions;
  return json;
}

}  // namespace fettle::stations
