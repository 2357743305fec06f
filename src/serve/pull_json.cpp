#include "serve/pull_json.h"

#include "pull/pull_json.h"

namespace fettle::serve {
namespace {

using nlohmann::ordered_json;

ordered_json point_json(const PullPoint& point) {
  return {{"variant", point.variant}, {"speed", point.speed}, {"brake_torque", point.brake_torque}};
}

}  // namespace

ordered_json standing_json(const PullStanding& standing, ledger::EntryNumber version) {
  ordered_json so_far = ordered_json::array();
  for (const PullPoint& point : standing.so_far) {
    so_far.push_back(point_json(point));
  }
  return {{"id", standing.id},
          {"engine", standing.subject.engine},
          {"version", standing.subject.version},
          {"stale", standing.subject.version != version},
          {"by", standing.subject.by},
          {"at", standing.at},
          {"state", to_text(standing.state)},
          {"done", standing.done},
          {"total", standing.total},
          {"seconds", standing.seconds},
          {"says", standing.says},
          {"order", order_json(*standing.order)},
          {"so_far", std::move(so_far)}};
}

ordered_json news_json(const PullStanding& standing) {
  ordered_json news{{"pull", standing.id},
                    {"engine", standing.subject.engine},
                    {"state", to_text(standing.state)},
                    {"done", standing.done},
                    {"total", standing.total}};
  news["point"] = standing.so_far.empty() ? ordered_json(nullptr) : point_json(standing.so_far.back());
  return news;
}

ordered_json results_json(const PullResults& results) {
  ordered_json list = ordered_json::array();
  for (const pull::PullResult& result : results) {
    ordered_json one = pull::pull_json(result, pull::Traces::left_out);
    one["points"] = std::move(one["curves"][0]["points"]);
    one.erase("curves");
    one.erase("cancelled");
    list.push_back(std::move(one));
  }
  return list;
}

}  // namespace fettle::serve
