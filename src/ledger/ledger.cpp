#include "ledger/ledger.h"

#include <utility>

#include <fmt/format.h>

#include "ledger/inside.h"

namespace fettle::ledger {
namespace {

using nlohmann::json;

std::optional<Refused> unknown_base(Store& store, const EngineRow& row, EntryNumber base) {
  if (store.has_entry(row.id, base)) {
    return std::nullopt;
  }
  return Refused{Reason::unknown_base, "",
                 fmt::format("{} is no version of engine '{}', whose present version is {}: read it again",
                             base, row.id, row.version)};
}

std::optional<Refused> archived(const EngineRow& row) {
  if (!row.state.archived) {
    return std::nullopt;
  }
  return Refused{Reason::archived, "", fmt::format("engine '{}' is archived: restore it first", row.id)};
}

// Whether an entry came from these operations. An element set without its id was given it.
bool same_operations(const Entry& entry, const std::vector<Operation>& operations) {
  if (entry.steps.size() != operations.size()) {
    return false;
  }
  for (std::size_t i = 0; i < operations.size(); ++i) {
    const Step& step = entry.steps[i];
    const Operation& operation = operations[i];
    const std::string& path = operation.path;
    const bool appended = path.size() > 1 && path.substr(path.size() - 2) == "/-";
    if (appended ? !overlap(step.path, path.substr(0, path.size() - 2)) : step.path != path) {
      return false;
    }
    auto value = operation.value;
    if (value && value->is_object() && !value->contains("id") && step.value && step.value->is_object() &&
        step.value->contains("id")) {
      (*value)["id"] = step.value->at("id");
    }
    if (!identical(value, step.value)) {
      return false;
    }
  }
  return true;
}

// What can never be right, found before anything is compared or stored.
std::optional<Refused> unfit_operations(const std::vector<Operation>& operations) {
  if (operations.empty()) {
    return Refused{Reason::invalid, "", "a change has at least one operation"};
  }
  for (const Operation& operation : operations) {
    if (unfit(json(operation.path))) {
      return Refused{Reason::invalid, "", "a path holds a text that is not UTF-8"};
    }
    if (const auto wrong = operation.value ? unfit(*operation.value) : std::nullopt) {
      return Refused{Reason::invalid, operation.path, "the value holds " + *wrong};
    }
  }
  return std::nullopt;
}

std::vector<Wish> wishes_of(const std::vector<Operation>& operations) {
  std::vector<Wish> wishes;
  wishes.reserve(operations.size());
  for (const Operation& operation : operations) {
    wishes.push_back({operation.path, operation.path, operation.value});
  }
  return wishes;
}

Planned plan_change(Store& store, const EngineRow& row, EntryNumber base,
                    const std::vector<Operation>& operations) {
  if (auto refused = archived(row)) {
    return *refused;
  }
  if (auto refused = unknown_base(store, row, base)) {
    return *refused;
  }
  // First by the paths as they were written: where somebody else was, a path may no longer lead anywhere.
  auto wishes = wishes_of(operations);
  if (auto met = clashes(store, row, base, wishes); !met.empty()) {
    return Conflict{row.id, row.version, std::move(met)};
  }
  EngineState after = row.state;
  auto result = apply_operations(after.document, operations);
  if (auto* fault = std::get_if<Fault>(&result)) {
    return Refused{fault->missing ? Reason::missing : Reason::invalid, fault->path, fault->message};
  }
  // Then by what they turned out to touch.
  auto& steps = std::get<std::vector<Step>>(result);
  for (std::size_t i = 0; i < steps.size(); ++i) {
    wishes[i].footprint = touched(steps[i]);
  }
  if (auto met = clashes(store, row, base, wishes); !met.empty()) {
    return Conflict{row.id, row.version, std::move(met)};
  }
  return Plan{std::move(steps), std::move(after), std::nullopt, std::nullopt};
}

Planned plan_undo_or_redo(Store& store, const EngineRow& row, EntryKind kind,
                          std::optional<EntryNumber> base) {
  if (base) {
    if (auto refused = unknown_base(store, row, *base)) {
      return *refused;
    }
    if (*base != row.version) {
      return Conflict{row.id, row.version, changes_since(store, row, *base)};
    }
  }
  const UndoLine line = store.undo_line(row.id);
  const bool undo = kind == EntryKind::undo;
  const auto target = undo ? line.undo_next() : line.redo_next();
  if (!target) {
    return Refused{Reason::nothing_to_do, "", fmt::format("there is nothing to {}", to_text(kind))};
  }
  const auto original = store.entry(*target);
  if (!original) {
    throw store.damaged(fmt::format("entry {} is missing", *target));
  }
  Plan plan{undo ? inverse(original->steps) : original->steps, row.state, std::nullopt, std::nullopt};
  (undo ? plan.undoes : plan.redoes) = target;
  for (const Step& step : plan.steps) {
    if (auto wrong = apply_step(plan.after, step)) {
      throw store.damaged(fmt::format("cannot {} entry {}: {}", to_text(kind), *target, *wrong));
    }
  }
  return plan;
}

// A change of what stands outside the document: one step on `name` or `archived`.
Planned plan_outside(Store& store, const EngineRow& row, std::optional<EntryNumber> base,
                     std::string_view path, const json& before, const json& value) {
  if (base) {
    if (auto refused = unknown_base(store, row, *base)) {
      return *refused;
    }
    auto met = clashes(store, row, *base, {{std::string(path), std::string(path), value}});
    if (!met.empty()) {
      return Conflict{row.id, row.version, std::move(met)};
    }
  }
  if (before == value) {
    return Refused{Reason::nothing_to_do, "", "the engine is so already"};
  }
  Step step;
  step.path = path;
  step.value = value;
  step.before = before;
  Plan plan{{step}, row.state, std::nullopt, std::nullopt};
  if (auto wrong = apply_step(plan.after, step)) {
    throw store.damaged(*wrong);
  }
  return plan;
}

bool any_entry(const Entry& entry) {
  return entry.number > 0;
}

}  // namespace

Ledger::Ledger(const std::filesystem::path& file, const Options& options, Environment* environment)
    : inside_(std::make_unique<Inside>(file, options, environment)) {}

Ledger::~Ledger() = default;

WriteResult Ledger::create(const std::string& name, const json& document, const Writer& writer) {
  if (auto refused = unfit_writer(writer)) {
    return *refused;
  }
  if (auto refused = unfit_document(document, inside_->options)) {
    return *refused;
  }
  return inside_->writing([&]() -> WriteResult {
    const auto same = [&](const Entry& entry) {
      return entry.kind == EntryKind::create && !entry.origin && entry.steps.size() == 2 &&
             entry.steps[0].value == json(name) && identical(entry.steps[1].value, std::optional(document));
    };
    const auto answer = inside_->repeated(writer, same);
    return answer ? *answer : inside_->begin(name, document, std::nullopt, writer);
  });
}

WriteResult Ledger::copy(const std::string& engine, const std::string& name, const Writer& writer) {
  if (auto refused = unfit_writer(writer)) {
    return *refused;
  }
  return inside_->writing([&]() -> WriteResult {
    const auto same = [&](const Entry& entry) {
      return entry.kind == EntryKind::create && entry.origin && entry.origin->value("engine", "") == engine &&
             entry.steps.size() == 2 && entry.steps[0].value == json(name);
    };
    if (const auto answer = inside_->repeated(writer, same)) {
      return *answer;
    }
    const auto row = inside_->store.engine(engine);
    if (!row) {
      return Refused{Reason::missing, "", "there is no such engine"};
    }
    return inside_->begin(name, row->state.document, json{{"engine", engine}, {"entry", row->version}},
                          writer);
  });
}

WriteResult Ledger::change(const std::string& engine, EntryNumber base,
                           const std::vector<Operation>& operations, const Writer& writer) {
  if (auto refused = unfit_operations(operations)) {
    return *refused;
  }
  return inside_->write(
      EntryKind::change, engine, writer,
      [&](const Entry& entry) { return same_operations(entry, operations); },
      [&](const EngineRow& row) { return plan_change(inside_->store, row, base, operations); });
}

WriteResult Ledger::undo(const std::string& engine, std::optional<EntryNumber> base, const Writer& writer) {
  return inside_->write(EntryKind::undo, engine, writer, any_entry, [&](const EngineRow& row) {
    return plan_undo_or_redo(inside_->store, row, EntryKind::undo, base);
  });
}

WriteResult Ledger::redo(const std::string& engine, std::optional<EntryNumber> base, const Writer& writer) {
  return inside_->write(EntryKind::redo, engine, writer, any_entry, [&](const EngineRow& row) {
    return plan_undo_or_redo(inside_->store, row, EntryKind::redo, base);
  });
}

WriteResult Ledger::rename(const std::string& engine, const std::string& name,
                           std::optional<EntryNumber> base, const Writer& writer) {
  if (auto refused = unfit_text("name", name)) {
    return *refused;
  }
  const auto same = [&](const Entry& entry) {
    return entry.steps.size() == 1 && entry.steps[0].value == json(name);
  };
  return inside_->write(EntryKind::rename, engine, writer, same, [&](const EngineRow& row) -> Planned {
    if (auto refused = archived(row)) {
      return *refused;
    }
    return plan_outside(inside_->store, row, base, name_path, row.state.name, name);
  });
}

WriteResult Ledger::archive(const std::string& engine, std::optional<EntryNumber> base,
                            const Writer& writer) {
  return inside_->write(EntryKind::archive, engine, writer, any_entry, [&](const EngineRow& row) {
    return plan_outside(inside_->store, row, base, archived_path, row.state.archived, true);
  });
}

WriteResult Ledger::restore(const std::string& engine, std::optional<EntryNumber> base,
                            const Writer& writer) {
  return inside_->write(EntryKind::restore, engine, writer, any_entry, [&](const EngineRow& row) {
    return plan_outside(inside_->store, row, base, archived_path, row.state.archived, false);
  });
}

}  // namespace fettle::ledger
