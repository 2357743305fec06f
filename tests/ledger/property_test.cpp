// Properties over random changes. The oracle for single operations is RFC 6902 (JSON Patch) as nlohmann-json
// does it.

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include "ledger/ledger.h"
#include "ledger/support.h"

namespace fettle::ledger {
namespace {

using nlohmann::json;
using namespace testing;

// A small JSON value; keys from a short list, so that paths often meet.
json random_json(int depth) {
  switch (*rc::gen::inRange(0, depth > 0 ? 7 : 5)) {
    case 0:
      return *rc::gen::inRange(-3, 3);
    case 1:
      return *rc::gen::inRange(0, 4) / 2.0;
    case 2:
      return *rc::gen::element<std::string>("41 deg", "", "~/\"\\", "\xc2\xb0");
    case 3:
      return nullptr;
    case 4:
      return *rc::gen::arbitrary<bool>();
    case 5: {
      json object = json::object();
      for (int i = *rc::gen::inRange(0, 4); i > 0; --i) {
        object[*rc::gen::element<std::string>("a", "b", "", "x/y", "m~n", "0")] = random_json(depth - 1);
      }
      return object;
    }
    default: {
      json array = json::array();
      for (int i = *rc::gen::inRange(0, 4); i > 0; --i) {
        array.push_back(random_json(depth - 1));
      }
      return array;
    }
  }
}

std::string random_path(int longest) {
  std::string path;
  for (int i = *rc::gen::inRange(1, longest + 1); i > 0; --i) {
    path += '/';
    path += *rc::gen::element<std::string>("a", "b", "", "x~1y", "m~0n", "0", "1", "2", "-", "01");
  }
  return path;
}

bool is_there(const json& document, const json::json_pointer& pointer) {
  try {
    return document.contains(pointer);
  } catch (const json::exception&) {
    return false;
  }
}

// What RFC 6902 makes of the same wish: "replace" what is there, "add" what is not, "remove" without a value.
std::optional<json> patched(const json& document, const Operation& operation) {
  const json::json_pointer pointer(operation.path);
  const bool there = is_there(document, pointer);
  // Sections 4.1 and 4.2 demand a container to add to and a target to remove; the library lets both pass
  // where the parent is a text or a number.
  const auto parent = pointer.parent_pointer();
  if (!(there || (operation.value && is_there(document, parent) && document.at(parent).is_structured()))) {
    return std::nullopt;
  }
  json step = {{"op", operation.value ? there ? "replace" : "add" : "remove"}, {"path", operation.path}};
  if (operation.value) {
    step["value"] = *operation.value;
  }
  try {
    return document.patch(json::array({step}));
  } catch (const json::exception&) {
    return std::nullopt;
  }
}

RC_GTEST_PROP(LedgerOperation, DoesWhatJsonPatchDoesWhereNoElementHasAnId, ()) {
  json document = json::object();
  for (int i = 0; i < 3; ++i) {
    document[*rc::gen::element<std::string>("a", "b", "0", "")] = random_json(3);
  }
  Operation operation{random_path(3), std::nullopt};
  if (*rc::gen::arbitrary<bool>()) {
    operation.value = random_json(1);
  }
  const auto expected = patched(document, operation);
  json changed = document;
  const auto result = apply_operations(changed, {operation});
  const auto* steps = std::get_if<std::vector<Step>>(&result);
  RC_ASSERT(expected.has_value() == (steps != nullptr));
  RC_CLASSIFY(steps != nullptr, "applied");
  if (steps != nullptr) {
    RC_ASSERT(identical(changed, *expected));
    for (const Step& step : inverse(*steps)) {
      RC_ASSERT(!apply_step(changed, step));
    }
    RC_ASSERT(identical(changed, document));
  }
}

// One random operation on a document with readings.
Operation random_operation() {
  const auto id = *rc::gen::element<std::string>("r1", "r2", "r3", "0");
  const std::string reading = fmt::format("/readings/{}", id);
  const std::string wheel = fmt::format("{}/wheel", reading);
  const auto path = *rc::gen::elementOf(std::vector<std::string>{
      reading, wheel, "/readings", "/cam", "/cam/lift", "/list/0", "/list/-", "/list/1", "/list", ""});
  if (*rc::gen::inRange(0, 3) == 0) {
    return removal(path);
  }
  if (path == "/list") {
    return set(path, {1, 2});
  }
  const bool object = path == reading || path == "/cam" || path.empty();
  return set(path, object ? json::object() : random_json(1));
}

// The engine as undo and redo should leave it, kept the plain way: as whole states.
struct Model {
  std::vector<EngineState> done;  // the last is the present one
  std::vector<EngineState> undone;
};

WriteResult random_write(Ledger& ledger, const std::string& id, EntryNumber version, int choice) {
  switch (choice) {
    case 0:
    case 1:
      return ledger.undo(id, version, turner());
    case 2:
      return ledger.redo(id, version, turner());
    case 3:
      return ledger.rename(id, *rc::gen::element<std::string>("A", "B", "C"), version, turner());
    case 4:
      return *rc::gen::arbitrary<bool>() ? ledger.archive(id, version, turner())
                                         : ledger.restore(id, version, turner());
    default: {
      std::vector<Operation> operations;
      for (int i = *rc::gen::inRange(1, 4); i > 0; --i) {
        operations.push_back(random_operation());
      }
      return ledger.change(id, version, operations, turner());
    }
  }
}

void follow(Model& model, int choice, const EngineState& state) {
  if (choice <= 1) {
    model.undone.push_back(model.done.back());
    model.done.pop_back();
  } else if (choice == 2) {
    model.done.push_back(model.undone.back());
    model.undone.pop_back();
  } else {
    model.done.push_back(state);
    model.undone.clear();
  }
}

bool same(const EngineState& a, const EngineState& b) {
  return a.name == b.name && a.archived == b.archived && identical(a.document, b.document);
}

RC_GTEST_PROP(LedgerHistory, UndoesRedoesAndRebuildsEveryStateExactly, ()) {
  const TemporaryFolder folder{quick_parent()};
  CountingEnvironment environment;
  Ledger ledger(folder / "shop.fettle", {}, &environment);
  const json start = {{"readings", {{{"id", "r1"}, {"wheel", "0 deg"}}, {{"id", "r2"}}}}, {"list", {1, "x"}}};
  const auto made = std::get<Applied>(ledger.create("A", start, turner()));
  Model model{{made.state}, {}};
  EntryNumber version = made.version;
  std::vector<std::pair<EntryNumber, EngineState>> states = {{version, made.state}};
  const int writes = *rc::gen::inRange(1, 25);
  for (int i = 0; i < writes; ++i) {
    const int choice = *rc::gen::inRange(0, 12);
    const auto result = random_write(ledger, made.engine, version, choice);
    if (const auto* applied = std::get_if<Applied>(&result)) {
      follow(model, choice, applied->state);
      version = applied->version;
      states.emplace_back(version, applied->state);
      RC_ASSERT(same(applied->state, model.done.back()));
    }
    RC_ASSERT(!std::holds_alternative<Conflict>(result));
    const auto line = ledger.undo_state(made.engine);
    RC_ASSERT(line.undo.has_value() == (model.done.size() > 1));
    RC_ASSERT(line.redo.has_value() == !model.undone.empty());
    RC_ASSERT(identical(ledger.engine(made.engine)->document, model.done.back().document));
  }
  for (const auto& [entry, state] : states) {
    RC_ASSERT(same(ledger.engine_as_of(made.engine, entry)->state, state));
  }
  RC_ASSERT(ledger.check().faults.empty());
  // And the whole of it survives the way into another ledger.
  const json history = json::parse(ledger.export_history(made.engine)->dump());
  Ledger other(folder / "other.fettle", {}, &environment);
  const auto imported = std::get<Applied>(other.import_history(history, reader()));
  RC_ASSERT(same(imported.state, model.done.back()));
  RC_ASSERT(other.check().faults.empty());
}

// Two writers from the same base: what merges silently must be the same in either order.
RC_GTEST_PROP(LedgerMerge, OfTwoChangesDoesNotDependOnTheirOrder, ()) {
  const TemporaryFolder folder{quick_parent()};
  CountingEnvironment environment;
  Ledger ledger(folder / "shop.fettle", {}, &environment);
  const json start = {{"readings", {{{"id", "r1"}}, {{"id", "r2"}}}}, {"list", {1, "x"}}};
  const Operation mine = random_operation();
  const Operation theirs = random_operation();
  const auto both = [&](const Operation& first, const Operation& second) -> std::optional<json> {
    const auto made = std::get<Applied>(ledger.create("A", start, turner()));
    const auto a = ledger.change(made.engine, made.version, {first}, turner());
    const auto b = ledger.change(made.engine, made.version, {second}, reader());
    if (!std::holds_alternative<Applied>(a) || !std::holds_alternative<Applied>(b)) {
      return std::nullopt;
    }
    json document = std::get<Applied>(b).state.document;
    if (json& list = document["readings"]; list.is_array()) {
      std::sort(list.begin(), list.end());  // appended in the order of arrival
    }
    return document;
  };
  const auto one = both(mine, theirs);
  const auto other = both(theirs, mine);
  RC_CLASSIFY(one.has_value(), "merged");
  RC_ASSERT(one.has_value() == other.has_value());
  if (one) {
    RC_ASSERT(identical(*one, *other));
  }
}

}  // namespace
}  // namespace fettle::ledger
