#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "serve/body.h"
#include "serve/shop.h"

/// One function a route of docs/api.md. `id` is the engine's, empty where the route has none.
namespace fettle::serve {

Answer list_engines(Shop& shop, const Asked& asked, const std::string& id);
Answer read_engine(Shop& shop, const Asked& asked, const std::string& id);
Answer read_picture(Shop& shop, const Asked& asked, const std::string& id);
Answer compare_engine(Shop& shop, const Asked& asked, const std::string& id);
Answer read_counsel(Shop& shop, const Asked& asked, const std::string& id);
Answer read_history(Shop& shop, const Asked& asked, const std::string& id);
Answer export_engine(Shop& shop, const Asked& asked, const std::string& id);
Answer read_record(Shop& shop, const Asked& asked, const std::string& id);
Answer read_stations(Shop& shop, const Asked& asked, const std::string& id);
Answer read_schema(Shop& shop, const Asked& asked, const std::string& id);

Answer create_engine(Shop& shop, const Asked& asked, const std::string& id);
Answer change_engine(Shop& shop, const Asked& asked, const std::string& id);
Answer undo_change(Shop& shop, const Asked& asked, const std::string& id);
Answer redo_change(Shop& shop, const Asked& asked, const std::string& id);
Answer rename_engine(Shop& shop, const Asked& asked, const std::string& id);
Answer archive_engine(Shop& shop, const Asked& asked, const std::string& id);
Answer restore_engine(Shop& shop, const Asked& asked, const std::string& id);
Answer what_if(Shop& shop, const Asked& asked, const std::string& id);

Answer list_pulls(Shop& shop, const Asked& asked, const std::string& id);
Answer start_pull(Shop& shop, const Asked& asked, const std::string& id);
/// Here `id` is the pull's.
Answer read_pull(Shop& shop, const Asked& asked, const std::string& id);
Answer read_pull_trace(Shop& shop, const Asked& asked, const std::string& id);
Answer cancel_pull(Shop& shop, const Asked& asked, const std::string& id);

Answer not_understood(const Body& body);
/// Operations done on a document of which nothing is kept; why they cannot be, else nothing.
std::optional<Answer> try_operations(nlohmann::json& document,
                                     const std::vector<ledger::Operation>& operations);
/// A whole number from the query; a problem is noted where it is none.
std::optional<std::int64_t> number_asked(const Asked& asked, const std::string& key, std::int64_t least,
                                         std::int64_t most, build::Problems& problems);

Answer no_such_engine(const std::string& id);
/// { "can_undo", "can_redo" } as members of `body`.
void add_undo_state(Shop& shop, const std::string& id, nlohmann::ordered_json& body);
/// The engine's name stands in its document; the ledger's own is the one it began with.
std::string name_of(const nlohmann::json& document, const std::string& otherwise);

}  // namespace fettle::serve
