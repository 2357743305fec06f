#include <algorithm>
#include <limits>

#include "ledger/inside.h"

namespace fettle::ledger {
namespace {

using nlohmann::json;

std::optional<json> present(const EngineState& state, const std::string& path) {
  if (path == name_path) {
    return json(state.name);
  }
  if (path == archived_path) {
    return json(state.archived);
  }
  return value_at(state.document, path);
}

void note(Clash& clash, const Entry& entry, const Step& step) {
  clash.changed_path = step.path;
  clash.entry = entry.number;
  clash.by = entry.by;
  clash.device = entry.device;
  clash.at = entry.at;
}

}  // namespace

std::vector<Clash> clashes(Store& store, const EngineRow& row, EntryNumber base,
                           const std::vector<Wish>& wishes) {
  std::vector<Clash> met(wishes.size());
  store.each_entry(row.id, base, row.version, [&](const Entry& entry) {
    for (const Step& step : entry.steps) {
      for (std::size_t i = 0; i < wishes.size(); ++i) {
        if (overlap(touched(step), wishes[i].footprint)) {
          note(met[i], entry, step);
        }
      }
    }
  });
  std::vector<Clash> found;
  for (std::size_t i = 0; i < wishes.size(); ++i) {
    if (met[i].entry != 0) {
      met[i].path = wishes[i].path;
      met[i].present = present(row.state, wishes[i].path);
      met[i].refused = wishes[i].value;
      found.push_back(std::move(met[i]));
    }
  }
  return found;
}

std::vector<Clash> changes_since(Store& store, const EngineRow& row, EntryNumber base) {
  std::vector<Clash> found;
  store.each_entry(row.id, base, row.version, [&](const Entry& entry) {
    for (const Step& step : entry.steps) {
      auto clash =
          std::find_if(found.begin(), found.end(), [&](const Clash& one) { return one.path == step.path; });
      if (clash == found.end()) {
        clash = found.insert(found.end(), Clash{});
        clash->path = step.path;
        clash->present = present(row.state, step.path);
      }
      note(*clash, entry, step);
    }
  });
  return found;
}

}  // namespace fettle::ledger
