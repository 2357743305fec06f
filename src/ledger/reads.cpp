#include <limits>
#include <stdexcept>

#include <fmt/format.h>

#include "ledger/inside.h"

namespace fettle::ledger {
namespace {

void demand_limit(const char* member, int limit) {
  if (limit < 1 || limit > 1000) {
    throw std::invalid_argument(fmt::format("Ledger::{}: 1 to 1000 entries at once, not {}", member, limit));
  }
}

}  // namespace

std::vector<EngineSummary> Ledger::engines() const {
  return inside_->reading([&] { return inside_->store.summaries(); });
}

std::optional<EngineView> Ledger::engine(const std::string& id) const {
  return inside_->reading([&]() -> std::optional<EngineView> {
    auto summary = inside_->store.summary(id);
    auto row = inside_->store.engine(id);
    if (!summary || !row) {
      return std::nullopt;
    }
    return EngineView{std::move(*summary), std::move(row->state.document)};
  });
}

std::optional<PastState> Ledger::engine_as_of(const std::string& id, EntryNumber entry) const {
  return inside_->reading([&] { return rebuilt(inside_->store, id, entry); });
}

HistoryPage Ledger::history(const std::string& id, std::optional<EntryNumber> before, int limit) const {
  demand_limit("history", limit);
  return inside_->reading([&] {
    HistoryPage page;
    // One more than asked for tells whether there is an older page.
    page.entries =
        inside_->store.newest(id, before.value_or(std::numeric_limits<EntryNumber>::max()), limit + 1);
    if (page.entries.size() > static_cast<std::size_t>(limit)) {
      page.entries.pop_back();
      page.before = page.entries.back().number;
    }
    return page;
  });
}

std::optional<Entry> Ledger::entry(EntryNumber number) const {
  return inside_->reading([&] { return inside_->store.entry(number); });
}

std::vector<Entry> Ledger::entries_after(EntryNumber number, int limit) const {
  demand_limit("entries_after", limit);
  return inside_->reading([&] { return inside_->store.after(number, limit); });
}

EntryNumber Ledger::latest_entry() const {
  return inside_->reading([&] { return inside_->store.latest(); });
}

UndoState Ledger::undo_state(const std::string& id) const {
  return inside_->reading([&] {
    const UndoLine line = inside_->store.undo_line(id);
    return UndoState{line.undo_next(), line.redo_next()};
  });
}

}  // namespace fettle::ledger
