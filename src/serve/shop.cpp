#include "serve/shop.h"

#include <array>
#include <vector>

#include <fmt/format.h>

#include "build/codec.h"
#include "quantity/text.h"
#include "serve/routes.h"

namespace fettle::serve {
namespace {

struct Route {
  std::string_view method;
  std::string_view path;  ///< "ID" stands for an engine's id, or a pull's
  Answer (*answer)(Shop& shop, const Asked& asked, const std::string& id);
};

constexpr std::array<Route, 23> routes{{
    {"GET", "/api/engines", list_engines},
    {"GET", "/api/engines/ID", read_engine},
    {"GET", "/api/engines/ID/history", read_history},
    {"GET", "/api/engines/ID/picture", read_picture},
    {"GET", "/api/engines/ID/counsel", read_counsel},
    {"GET", "/api/engines/ID/compare", compare_engine},
    {"GET", "/api/engines/ID/export", export_engine},
    {"GET", "/api/engines/ID/record", read_record},
    {"GET", "/api/stations", read_stations},
    {"GET", "/api/schema", read_schema},
    {"POST", "/api/engines", create_engine},
    {"POST", "/api/engines/ID/changes", change_engine},
    {"POST", "/api/engines/ID/undo", undo_change},
    {"POST", "/api/engines/ID/redo", redo_change},
    {"POST", "/api/engines/ID/rename", rename_engine},
    {"POST", "/api/engines/ID/archive", archive_engine},
    {"POST", "/api/engines/ID/restore", restore_engine},
    {"POST", "/api/engines/ID/what-if", what_if},
    {"GET", "/api/engines/ID/pulls", list_pulls},
    {"POST", "/api/engines/ID/pulls", start_pull},
    {"GET", "/api/pulls/ID", read_pull},
    {"GET", "/api/pulls/ID/trace", read_pull_trace},
    {"POST", "/api/pulls/ID/cancel", cancel_pull},
}};

std::vector<std::string_view> segments(std::string_view path) {
  std::vector<std::string_view> parts;
  while (!path.empty()) {
    path.remove_prefix(1);
    const auto end = std::min(path.find('/'), path.size());
    parts.push_back(path.substr(0, end));
    path.remove_prefix(end);
  }
  return parts;
}

/// The id within the path when it is this route's, else nothing.
std::optional<std::string> match(std::string_view pattern, std::string_view path) {
  const auto wanted = segments(pattern);
  const auto given = segments(path);
  if (wanted.size() != given.size()) {
    return std::nullopt;
  }
  std::string id;
  for (std::size_t i = 0; i < wanted.size(); ++i) {
    if (wanted[i] == "ID") {
      id = given[i];
    } else if (wanted[i] != given[i]) {
      return std::nullopt;
    }
  }
  return id;
}

Answer route(Shop& shop, const Asked& asked) {
  const std::string method = asked.method == "HEAD" ? "GET" : asked.method;
  std::string allowed;
  for (const Route& candidate : routes) {
    if (const auto id = match(candidate.path, asked.path)) {
      if (candidate.method == method) {
        return candidate.answer(shop, asked, *id);
      }
      allowed += (allowed.empty() ? "" : ", ") +
                 std::string(candidate.method == "GET" ? "GET, HEAD" : candidate.method);
    }
  }
  if (allowed.empty()) {
    return error_answer(404, "not_found",
                        fmt::format("There is nothing at {}.", quantity::shown_text(asked.path)));
  }
  Answer answer = error_answer(
      405, "wrong_method", fmt::format("{} is asked with {}.", quantity::shown_text(asked.path), allowed));
  answer.headers.emplace_back("Allow", allowed);
  return answer;
}

}  // namespace

ledger::Options build_ledger_options(const std::shared_ptr<ReadBuilds>& builds, const OnRead& on_read) {
  ledger::Options options;
  options.objections = [builds, on_read](const nlohmann::json& document) -> std::optional<nlohmann::json> {
    const auto read = builds->of(document);
    if (on_read) {
      on_read(read);
    }
    return read->build ? std::nullopt : std::optional<nlohmann::json>(problems_json(read->problems));
  };
  return options;
}

Shop::Shop(const std::filesystem::path& file, const PullBounds& pulls)
    : ledger_(file,
              build_ledger_options(proofs_.builds(), [this](const auto& read) { proofs_.begin(read); })),
      pulls_(pulls) {}

Answer Shop::answer(const Asked& asked) {
  try {
    return route(*this, asked);
  } catch (const ledger::LedgerError& error) {
    return trouble_answer(error);
  } catch (const std::exception& error) {
    return error_answer(500, "failed",
                        fmt::format("This could not be worked out: {}. Nothing was changed by it beyond "
                                    "what the history shows.",
                                    error.what()));
  }
}

Answer trouble_answer(const ledger::LedgerError& error) {
  using ledger::Trouble;
  const bool cannot_write = error.trouble() == Trouble::full || error.trouble() == Trouble::read_only ||
                            error.trouble() == Trouble::busy;
  return error_answer(cannot_write ? 503 : 500, cannot_write ? "cannot_write" : "ledger_failed",
                      fmt::format("The ledger: {}. {}.", error.happened(), error.remedy()));
}

}  // namespace fettle::serve
