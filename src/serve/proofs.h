#pragma once

#include <list>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <string>

#include <nlohmann/json.hpp>

#include "build/problem.h"
#include "ledger/entry.h"
#include "stations/report.h"
#include "stations/tally.h"

namespace fettle::stations {
class Memory;
}

namespace fettle::serve {

/// What the stations make of one document, and the same as text for the wire.
struct Proof {
  stations::Report report;   ///< empty when the document is not sound
  build::Problems problems;  ///< why it is not
  std::string json;          ///< report with pictures (docs/api.md, "The report")
};

/// `memory` keeps what one proof can use of another.
Proof work_out(const nlohmann::json& document, const std::shared_ptr<stations::Memory>& memory);

/// How many findings have each verdict, and the mistakes: a line of the list of engines.
struct Counts {
  stations::Tally verdicts;
  int mistakes = 0;
};
Counts counts_of(const stations::Report& report);

/// Proofs already worked out, the latest used `most` of them. A version of an engine never changes, so
/// neither does its proof. Every member may be called from any thread.
class Proofs {
 public:
  explicit Proofs(std::size_t most = 32);

  /// Works out what is not known yet, outside the lock.
  std::shared_ptr<const Proof> of(const std::string& engine, ledger::EntryNumber version,
                                  const nlohmann::json& document);
  /// A document that is not an engine's (yet).
  Proof of(const nlohmann::json& document) const { return work_out(document, memory_); }
  /// Only what is known already.
  std::shared_ptr<const Proof> known(const std::string& engine, ledger::EntryNumber version);
  /// Of the latest version worked out, if it is this one; kept for every engine.
  std::optional<Counts> counts(const std::string& engine, ledger::EntryNumber version);

 private:
  using Key = std::pair<std::string, ledger::EntryNumber>;
  struct Kept {
    Key key;
    std::shared_ptr<const Proof> proof;
  };

  std::size_t most_;
  std::shared_ptr<stations::Memory> memory_;
  std::mutex mutex_;
  std::list<Kept> recent_;  // latest used first
  std::map<Key, std::list<Kept>::iterator> places_;
  std::map<std::string, std::pair<ledger::EntryNumber, Counts>> counts_;
};

/// Findings of `to` whose value or verdict differs from that of `from` by more than rounding, those gone
/// included (docs/api.md, "moved").
nlohmann::ordered_json moved_json(const stations::Report& from, const stations::Report& to);

}  // namespace fettle::serve
