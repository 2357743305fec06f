#include <fmt/format.h>

#include "build/codec.h"
#include "pull/plan.h"
#include "pull/pull_json.h"
#include "pull/running_valves.h"
#include "serve/body.h"
#include "serve/pull_json.h"
#include "serve/routes.h"

namespace fettle::serve {
namespace {

using nlohmann::json;
using nlohmann::ordered_json;

Answer no_such_pull(const std::string& id) {
  return error_answer(404, "not_found",
                      fmt::format("There is no pull '{}': only the last ones are kept, and none outlives the "
                                  "program. Run it again.",
                                  id.substr(0, 64)));
}

/// "exhaust.primary_length" where the place was told of one variant among several.
build::Problems of_variant(build::Problems problems, const PullOrder& order, std::size_t variant) {
  for (build::Problem& problem : problems) {
    if (order.variants.size() > 1) {
      problem.place = fmt::format("{} ({})", problem.place, order.variants[variant].title);
    }
  }
  return problems;
}

/// The builds of an order, or why they cannot be run.
struct Prepared {
  std::vector<build::Build> builds;
  std::optional<Answer> refusal;
};

Prepared prepare(const json& document, const PullOrder& order) {
  Prepared prepared;
  for (std::size_t i = 0; i < order.variants.size(); ++i) {
    const PullVariant& variant = order.variants[i];
    json tried = document;
    prepared.refusal = try_operations(tried, variant.operations);
    if (prepared.refusal) {
      return prepared;
    }
    build::ReadBuild read = build::read_document(tried);
    if (!read.build) {
      prepared.refusal = error_answer(422, "unsound", "The build would not be sound so.",
                                      of_variant(std::move(read.problems), order, i));
      return prepared;
    }
    const auto planned = pull::plan_engine(*read.build, order.options.ambient, {variant.cam, 0.0});
    if (!planned.plan) {
      prepared.refusal = error_answer(422, "not_ready", "The build does not say yet what a pull needs of it.",
                                      of_variant(planned.problems, order, i));
      return prepared;
    }
    if (order.options.dynamic) {
      if (const auto problems = pull::running_problems(*read.build); !problems.empty()) {
        prepared.refusal = error_answer(422, "not_ready", "The build does not say yet how its valves run.",
                                        of_variant(problems, order, i));
        return prepared;
      }
    }
    prepared.builds.push_back(std::move(*read.build));
  }
  return prepared;
}

}  // namespace

Answer start_pull(Shop& shop, const Asked& asked, const std::string& id) {
  Body body(asked.body);
  PullOrder order = read_order(body, shop.pulls().bounds());
  const ledger::Writer writer = body.writer();
  body.finish();
  if (!body.problems().empty()) {
    return not_understood(body);
  }
  const auto view = shop.ledger().engine(id);
  if (!view) {
    return no_such_engine(id);
  }
  Prepared prepared = prepare(view->document, order);
  if (prepared.refusal) {
    return *prepared.refusal;
  }
  const auto cylinders = static_cast<int>(prepared.builds.front().engine.firing_order.size());
  if (order.options.trace_cylinder > cylinders) {
    return error_answer(400, "bad_request", "The engine has no such cylinder.",
                        {{"trace_cylinder", std::to_string(order.options.trace_cylinder),
                          fmt::format("1 to {}", cylinders), "1"}});
  }
  const auto pull = shop.pulls().start({id, view->summary.version, writer.by}, std::move(order),
                                       std::move(prepared.builds));
  if (!pull) {
    return error_answer(503, "too_many",
                        fmt::format("{} pulls wait already. Cancel one, or try again when one has ended.",
                                    shop.pulls().bounds().waiting));
  }
  const auto standing = shop.pulls().find(*pull);
  return standing ? json_answer(202, standing_json(*standing, view->summary.version)) : no_such_pull(*pull);
}

Answer list_pulls(Shop& shop, const Asked& /*asked*/, const std::string& id) {
  const auto view = shop.ledger().engine(id);
  if (!view) {
    return no_such_engine(id);
  }
  const auto read = shop.proofs().builds()->of(view->document);
  pull::PlanOutcome planned;
  if (read->build) {
    planned = pull::plan_engine(*read->build, {});
  }
  ordered_json pulls = ordered_json::array();
  for (const PullStanding& standing : shop.pulls().of(id)) {
    pulls.push_back(standing_json(standing, view->summary.version));
  }
  return json_answer(200, {{"version", view->summary.version},
                           {"problems", problems_json(read->build ? planned.problems : read->problems)},
                           {"assumptions", planned.plan ? pull::assumptions_json(planned.plan->assumptions)
                                                        : ordered_json(ordered_json::array())},
                           {"cautions", pull::cautions()},
                           {"most_points", shop.pulls().bounds().points},
                           {"most_variants", shop.pulls().bounds().variants},
                           {"pulls", std::move(pulls)}});
}

Answer read_pull(Shop& shop, const Asked& /*asked*/, const std::string& id) {
  const auto standing = shop.pulls().find(id);
  const auto results = shop.pulls().results(id);
  if (!standing) {
    return no_such_pull(id);
  }
  const auto view = shop.ledger().engine(standing->subject.engine);
  ordered_json body = standing_json(*standing, view ? view->summary.version : 0);
  body["results"] = nullptr;
  if (results) {
    body["results"] = results_json(*results);
  }
  return json_answer(200, body);
}

Answer read_pull_trace(Shop& shop, const Asked& asked, const std::string& id) {
  build::Problems problems;
  const auto variant = number_asked(asked, "variant", 0, 99, problems);
  const auto point = number_asked(asked, "point", 0, 999, problems);
  if (!problems.empty()) {
    return error_answer(400, "bad_request", "A trace cannot be asked for so.", problems);
  }
  const auto standing = shop.pulls().find(id);
  const auto results = shop.pulls().results(id);
  if (!standing || !results) {
    return standing ? error_answer(404, "not_found", "The pull has no result.") : no_such_pull(id);
  }
  const auto curve = static_cast<std::size_t>(variant.value_or(0));
  const auto place = static_cast<std::size_t>(point.value_or(0));
  if (curve >= results->size() || place >= (*results)[curve].curves.front().points.size()) {
    return error_answer(404, "not_found", "The pull has no such variant or speed.");
  }
  const pull::SpeedPoint& found = (*results)[curve].curves.front().points[place];
  if (!found.trace) {
    return error_answer(404, "not_found", "This speed has no trace.");
  }
  return json_answer(200, {{"variant", curve},
                           {"point", place},
                           {"speed", found.speed},
                           {"cylinder", standing->order->options.trace_cylinder},
                           {"trace", pull::trace_json(*found.trace)}});
}

Answer cancel_pull(Shop& shop, const Asked& asked, const std::string& id) {
  Body body(asked.body);
  static_cast<void>(body.writer());
  body.finish();
  if (!body.problems().empty()) {
    return not_understood(body);
  }
  if (!shop.pulls().cancel(id)) {
    return no_such_pull(id);
  }
  const auto standing = shop.pulls().find(id);
  const auto view = standing ? shop.ledger().engine(standing->subject.engine) : std::nullopt;
  return standing ? json_answer(200, standing_json(*standing, view ? view->summary.version : 0))
                  : no_such_pull(id);
}

}  // namespace fettle::serve
