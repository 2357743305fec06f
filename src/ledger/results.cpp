#include "ledger/results.h"

#include <stdexcept>

namespace fettle::ledger {
namespace {

using nlohmann::json;

json members(const Applied& applied) {
  return {{"engine", applied.engine},           {"entry", applied.entry},
          {"version", applied.version},         {"name", applied.state.name},
          {"archived", applied.state.archived}, {"document", applied.state.document}};
}

json form(const Applied& applied) {
  json out = members(applied);
  out["outcome"] = "applied";
  return out;
}

json form(const Repeated& repeated) {
  json out = members(repeated.first);
  out["outcome"] = "repeated";
  out["version_now"] = repeated.version_now;
  return out;
}

json form(const Clash& clash) {
  json out = {{"path", clash.path},     {"changed_path", clash.changed_path},
              {"entry", clash.entry},   {"by", clash.by},
              {"device", clash.device}, {"at", clash.at}};
  if (clash.present) {
    out["present"] = *clash.present;
  }
  if (clash.refused) {
    out["refused"] = *clash.refused;
  }
  return out;
}

json form(const Conflict& conflict) {
  json clashes = json::array();
  for (const Clash& clash : conflict.clashes) {
    clashes.push_back(form(clash));
  }
  return {{"outcome", "conflict"},
          {"engine", conflict.engine},
          {"version", conflict.version},
          {"clashes", std::move(clashes)}};
}

json form(const Refused& refused) {
  json out = {{"outcome", "refused"},
              {"reason", to_text(refused.reason)},
              {"path", refused.path},
              {"message", refused.message}};
  if (refused.objections) {
    out["objections"] = *refused.objections;
  }
  return out;
}

}  // namespace

std::string_view to_text(Reason reason) {
  switch (reason) {
    case Reason::invalid:
      return "invalid";
    case Reason::missing:
      return "missing";
    case Reason::unknown_base:
      return "unknown_base";
    case Reason::archived:
      return "archived";
    case Reason::nothing_to_do:
      return "nothing_to_do";
    case Reason::key_reused:
      return "key_reused";
    case Reason::unsound:
      return "unsound";
    case Reason::too_large:
      return "too_large";
  }
  throw std::invalid_argument("to_text: no such reason");
}

json to_json(const WriteResult& result) {
  return std::visit([](const auto& outcome) { return form(outcome); }, result);
}

}  // namespace fettle::ledger
