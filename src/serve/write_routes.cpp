#include <fmt/format.h>

#include "ledger/document.h"
#include "serve/body.h"
#include "serve/reading_ids.h"
#include "serve/routes.h"

namespace fettle::serve {
namespace {

using nlohmann::json;
using nlohmann::ordered_json;

constexpr std::size_t most_letters_of_a_name = 60;

ordered_json or_null(const std::optional<json>& value) {
  return value ? ordered_json(*value) : ordered_json(nullptr);
}

Answer conflict_answer(const ledger::Conflict& conflict) {
  ordered_json clashes = ordered_json::array();
  for (const ledger::Clash& clash : conflict.clashes) {
    clashes.push_back({{"path", clash.path},
                       {"changed_path", clash.changed_path},
                       {"present", or_null(clash.present)},
                       {"refused", or_null(clash.refused)},
                       {"by", clash.by},
                       {"device", clash.device},
                       {"at", clash.at},
                       {"entry", clash.entry}});
  }
  return error_answer(409, "conflict",
                      "Somebody changed the same place since. Nothing of this change was made.", {},
                      {{"conflicts", std::move(clashes)}, {"version", conflict.version}});
}

Answer refused_answer(const ledger::Refused& refused) {
  using ledger::Reason;
  build::Problems problems;
  if (refused.objections && refused.objections->is_array()) {
    for (const json& one : *refused.objections) {
      problems.push_back({one.value("place", ""), one.value("given", ""), one.value("accepted", ""),
                          one.value("example", "")});
    }
  } else if (!refused.path.empty()) {
    problems.push_back({refused.path, "", refused.message, ""});
  }
  int status = 422;
  if (refused.reason == Reason::too_large) {
    status = 413;
  } else if (refused.reason == Reason::invalid) {
    status = 400;
  }
  return error_answer(status, to_text(refused.reason),
                      fmt::format("Nothing was changed: {}.", refused.message), problems);
}

/// The report of the engine as it stood before this entry.
std::shared_ptr<const Proof> proof_before(Shop& shop, const std::string& engine,
                                          std::optional<ledger::EntryNumber> previous) {
  static const auto nothing = std::make_shared<const Proof>();
  if (!previous) {
    return nothing;
  }
  if (auto known = shop.proofs().known(engine, *previous)) {
    return known;
  }
  const auto past = shop.ledger().engine_as_of(engine, *previous);
  return past ? shop.proofs().of(engine, *previous, past->state.document) : nothing;
}

Answer applied_answer(Shop& shop, const ledger::Applied& applied) {
  const auto entry = shop.ledger().entry(applied.entry);
  const auto previous = entry ? entry->previous : std::nullopt;
  const auto before = proof_before(shop, applied.engine, previous);
  ordered_json body{{"version", applied.version},
                    {"entry", applied.entry},
                    {"previous", previous ? ordered_json(*previous) : ordered_json(nullptr)},
                    {"archived", applied.state.archived}};
  add_undo_state(shop, applied.engine, body);
  // Begun while the ledger was at work: what the ledger is asked has been asked by now.
  const auto after = shop.proofs().of(applied.engine, applied.version, applied.state.document);
  const std::string moved = moved_json(before->report(), after->report());
  return json_text_answer(200, with_members(body, {{"moved", moved}, {"report", after->json()}}));
}

/// What became of a write, for those that answer with the report.
Answer outcome(Shop& shop, const ledger::WriteResult& result) {
  if (const auto* conflict = std::get_if<ledger::Conflict>(&result)) {
    return conflict_answer(*conflict);
  }
  if (const auto* refused = std::get_if<ledger::Refused>(&result)) {
    return refused_answer(*refused);
  }
  if (const auto* repeated = std::get_if<ledger::Repeated>(&result)) {
    return applied_answer(shop, repeated->first);
  }
  if (shop.on_entry) {
    shop.on_entry();
  }
  return applied_answer(shop, std::get<ledger::Applied>(result));
}

/// For routes whose body is { "base", "by", "device", "change_key" } and whatever `more` takes from it.
template <class Write>
Answer stepped(Shop& shop, const Asked& asked, const std::string& id, const Write& write) {
  Body body(asked.body);
  const auto base = body.whole("base", Need::required);
  const ledger::Writer writer = body.writer();
  const auto request = write(body, base.value_or(0), writer);
  body.finish();
  if (!body.problems().empty()) {
    return not_understood(body);
  }
  const ledger::WriteResult result = request();
  const auto* refused = std::get_if<ledger::Refused>(&result);
  if (refused != nullptr && refused->reason == ledger::Reason::missing && refused->path.empty()) {
    return no_such_engine(id);
  }
  return outcome(shop, result);
}

/// Readings that come in a heap get ids too.
std::vector<ledger::Operation> with_ids(std::vector<ledger::Operation> operations) {
  for (ledger::Operation& operation : operations) {
    if (operation.value && operation.path.empty()) {
      give_ids(*operation.value);
    } else if (operation.value && operation.path == "/readings") {
      json document{{"readings", std::move(*operation.value)}};
      give_ids(document);
      operation.value = std::move(document["readings"]);
    }
  }
  return operations;
}

/// 201 with the id of an engine begun, or why there is none.
Answer begun(Shop& shop, const ledger::WriteResult& result) {
  if (const auto* conflict = std::get_if<ledger::Conflict>(&result)) {
    return conflict_answer(*conflict);
  }
  if (const auto* refused = std::get_if<ledger::Refused>(&result)) {
    return refused_answer(*refused);
  }
  const auto* repeated = std::get_if<ledger::Repeated>(&result);
  const ledger::Applied& applied = repeated != nullptr ? repeated->first : std::get<ledger::Applied>(result);
  if (shop.on_entry) {
    shop.on_entry();
  }
  return json_answer(201, {{"id", applied.engine}, {"version", applied.version}});
}

/// A copy, and its new name in its document as a second entry, under a key that follows from the first: sent
/// again after a crash between the two, the request makes up for what was missing.
Answer copied(Shop& shop, const std::string& source, const std::string& name, const ledger::Writer& writer) {
  if (!shop.ledger().engine(source)) {
    return no_such_engine(source);
  }
  const auto result = shop.ledger().copy(source, name, writer);
  const auto* applied = std::get_if<ledger::Applied>(&result);
  const auto* repeated = std::get_if<ledger::Repeated>(&result);
  if (repeated != nullptr) {
    applied = &repeated->first;
  }
  if (applied == nullptr || name_of(applied->state.document, "") == name) {
    return begun(shop, result);
  }
  ledger::Writer namer = writer;
  if (namer.change_key) {
    *namer.change_key += " name";
  }
  return begun(shop, shop.ledger().change(applied->engine, applied->version, {{"/name", name}}, namer));
}

}  // namespace

Answer not_understood(const Body& body) {
  return error_answer(400, "bad_request", "The request's body is not as it should be.", body.problems());
}

std::optional<Answer> try_operations(json& document, const std::vector<ledger::Operation>& operations) {
  const auto result = ledger::apply_operations(document, operations);
  const auto* fault = std::get_if<ledger::Fault>(&result);
  if (fault == nullptr) {
    return std::nullopt;
  }
  return refused_answer(
      {fault->missing ? ledger::Reason::missing : ledger::Reason::invalid, fault->path, fault->message});
}

Answer create_engine(Shop& shop, const Asked& asked, const std::string& /*id*/) {
  Body body(asked.body);
  const ledger::Writer writer = body.writer();
  const bool copy = body.has("copy_of");
  const auto source = copy ? body.text("copy_of", Need::required, 64) : std::nullopt;
  const auto name = copy ? body.text("name", Need::required, most_letters_of_a_name) : std::nullopt;
  const json* given = copy ? nullptr : body.object("document", Need::required);
  body.finish();
  if (!body.problems().empty()) {
    return not_understood(body);
  }
  if (copy) {
    return copied(shop, *source, *name, writer);
  }
  json document = *given;
  give_ids(document);
  // A document without a name is told so by the ledger's objections, with all else that is wrong with it.
  const std::string own = name_of(document, "unnamed");
  return begun(shop, shop.ledger().create(own.empty() ? "unnamed" : own, document, writer));
}

Answer change_engine(Shop& shop, const Asked& asked, const std::string& id) {
  return stepped(shop, asked, id, [&](Body& body, ledger::EntryNumber base, const ledger::Writer& writer) {
    return [&shop, &id, operations = with_ids(body.operations("operations")), base, writer] {
      return shop.ledger().change(id, base, operations, writer);
    };
  });
}

Answer undo_change(Shop& shop, const Asked& asked, const std::string& id) {
  return stepped(shop, asked, id, [&](Body&, ledger::EntryNumber base, const ledger::Writer& writer) {
    return [&shop, &id, base, writer] { return shop.ledger().undo(id, base, writer); };
  });
}

Answer redo_change(Shop& shop, const Asked& asked, const std::string& id) {
  return stepped(shop, asked, id, [&](Body&, ledger::EntryNumber base, const ledger::Writer& writer) {
    return [&shop, &id, base, writer] { return shop.ledger().redo(id, base, writer); };
  });
}

Answer rename_engine(Shop& shop, const Asked& asked, const std::string& id) {
  return stepped(shop, asked, id, [&](Body& body, ledger::EntryNumber base, const ledger::Writer& writer) {
    const auto name = body.text("name", Need::required, most_letters_of_a_name);
    return [&shop, &id, base, writer, name = name.value_or("")] {
      return shop.ledger().change(id, base, {{"/name", name}}, writer);
    };
  });
}

Answer archive_engine(Shop& shop, const Asked& asked, const std::string& id) {
  return stepped(shop, asked, id, [&](Body&, ledger::EntryNumber base, const ledger::Writer& writer) {
    return [&shop, &id, base, writer] { return shop.ledger().archive(id, base, writer); };
  });
}

Answer restore_engine(Shop& shop, const Asked& asked, const std::string& id) {
  return stepped(shop, asked, id, [&](Body&, ledger::EntryNumber base, const ledger::Writer& writer) {
    return [&shop, &id, base, writer] { return shop.ledger().restore(id, base, writer); };
  });
}

Answer what_if(Shop& shop, const Asked& asked, const std::string& id) {
  Body body(asked.body);
  const auto operations = with_ids(body.operations("operations"));
  static_cast<void>(body.writer());
  body.finish();
  if (!body.problems().empty()) {
    return not_understood(body);
  }
  const auto view = shop.ledger().engine(id);
  if (!view) {
    return no_such_engine(id);
  }
  json document = view->document;
  if (const auto refusal = try_operations(document, operations)) {
    return *refusal;
  }
  const Proof proof = shop.proofs().of(document);
  if (!proof.problems().empty()) {
    return error_answer(422, "unsound", "The build would not be sound so.", proof.problems());
  }
  const auto before = shop.proofs().of(id, view->summary.version, view->document);
  const std::string moved = moved_json(before->report(), proof.report());
  return json_text_answer(
      200, with_members({{"version", view->summary.version}}, {{"moved", moved}, {"report", proof.json()}}));
}

}  // namespace fettle::serve
