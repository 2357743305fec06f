#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "ledger/entry.h"

namespace fettle::ledger {
namespace {

using nlohmann::json;

bool same_steps(const std::vector<Step>& a, const std::vector<Step>& b) {
  return to_json(a).dump() == to_json(b).dump();
}

// What kinds of steps an entry may hold: on the document, or on what stands outside it.
bool steps_suit(const Entry& entry) {
  const auto only = [&entry](std::string_view path) {
    return entry.steps.size() == 1 && entry.steps[0].path == path;
  };
  switch (entry.kind) {
    case EntryKind::create:
      return entry.steps.size() == 2 && entry.steps[0].path == name_path && entry.steps[1].path.empty();
    case EntryKind::change:
      return !entry.steps.empty() &&
             std::all_of(entry.steps.begin(), entry.steps.end(),
                         [](const Step& step) { return step.path.empty() || step.path[0] == '/'; });
    case EntryKind::rename:
      return only(name_path);
    case EntryKind::archive:
    case EntryKind::restore:
      return only(archived_path);
    case EntryKind::import:
      return entry.steps.empty();
    case EntryKind::undo:
    case EntryKind::redo:
      return true;  // held against the entry they point to
  }
  return false;
}

bool pointers_suit(const Entry& entry) {
  return entry.undoes.has_value() == (entry.kind == EntryKind::undo) &&
         entry.redoes.has_value() == (entry.kind == EntryKind::redo) &&
         entry.previous.has_value() == (entry.kind != EntryKind::create);
}

std::optional<std::string> apply_name(EngineState& state, const Step& step) {
  const bool starts = !step.before && state.name.empty();
  if (!step.value || !step.value->is_string() || (!starts && step.before != json(state.name))) {
    return "the name is not what the entry replaced";
  }
  state.name = step.value->get<std::string>();
  return std::nullopt;
}

std::optional<std::string> apply_archived(EngineState& state, const Step& step) {
  if (!step.value || !step.value->is_boolean() || step.before != json(state.archived)) {
    return "the archive mark is not what the entry replaced";
  }
  state.archived = step.value->get<bool>();
  return std::nullopt;
}

}  // namespace

std::optional<std::string> apply_step(EngineState& state, const Step& step) {
  if (step.path == name_path) {
    return apply_name(state, step);
  }
  if (step.path == archived_path) {
    return apply_archived(state, step);
  }
  const bool starts = step.place.empty() && !step.before && state.document.is_null();
  if (starts && step.value && step.value->is_object()) {
    state.document = *step.value;
    return std::nullopt;
  }
  return apply_step(state.document, step);
}

bool UndoLine::add(EntryKind kind, EntryNumber number, std::optional<EntryNumber> target) {
  switch (kind) {
    case EntryKind::create:
    case EntryKind::import:
      return true;
    case EntryKind::undo:
    case EntryKind::redo: {
      auto& from = kind == EntryKind::undo ? done_ : undone_;
      auto& to = kind == EntryKind::undo ? undone_ : done_;
      if (!target || from.empty() || from.back() != *target) {
        return false;
      }
      from.pop_back();
      to.push_back(*target);
      return true;
    }
    case EntryKind::change:
    case EntryKind::rename:
    case EntryKind::archive:
    case EntryKind::restore:
      undone_.clear();
      done_.push_back(number);
      return true;
  }
  return false;
}

std::optional<EntryNumber> UndoLine::undo_next() const {
  return done_.empty() ? std::nullopt : std::optional(done_.back());
}

std::optional<EntryNumber> UndoLine::redo_next() const {
  return undone_.empty() ? std::nullopt : std::optional(undone_.back());
}

std::optional<std::string> Replay::add(const Entry& entry) {
  auto wrong = apply(entry);
  if (wrong) {
    return fmt::format("entry {}: {}", entry.number, *wrong);
  }
  return std::nullopt;
}

std::optional<std::string> Replay::apply(const Entry& entry) {
  if (last_.has_value() == (entry.kind == EntryKind::create) || entry.previous != last_ ||
      (last_ && entry.number <= *last_)) {
    return "it does not follow the entry before it";
  }
  if (!steps_suit(entry) || !pointers_suit(entry)) {
    return fmt::format("its parts do not suit the kind '{}'", to_text(entry.kind));
  }
  const auto target = entry.undoes ? entry.undoes : entry.redoes;
  if (!line_.add(entry.kind, entry.number, target)) {
    return fmt::format("it points to entry {}, which is not the one to {}", target.value_or(0),
                       to_text(entry.kind));
  }
  if (target) {
    const auto& original = undoable_.at(*target);
    if (!same_steps(entry.steps, entry.undoes ? inverse(original) : original)) {
      return fmt::format("its operations do not {} entry {}", to_text(entry.kind), *target);
    }
  } else {
    undoable_[entry.number] = entry.steps;
  }
  for (const Step& step : entry.steps) {
    if (auto wrong = apply_step(state_, step)) {
      return wrong;
    }
  }
  last_ = entry.number;
  return std::nullopt;
}

}  // namespace fettle::ledger
