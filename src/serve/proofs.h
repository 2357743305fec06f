#pragma once

#include <list>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <string>

#include <nlohmann/json.hpp>

#include "ledger/entry.h"
#include "serve/read_builds.h"
#include "stations/report.h"
#include "stations/tally.h"

namespace fettle::stations {
class Memory;
class Sources;
}  // namespace fettle::stations

namespace fettle::serve {

/// What the stations make of one document, and the same as text for the wire. Every member may be called from
/// any thread.
class Proof {
 public:
  /// Of no document: an empty report.
  Proof();
  /// `memory` keeps what one proof can use of another.
  Proof(std::shared_ptr<const build::ReadBuild> read, const std::shared_ptr<stations::Memory>& memory);

  const stations::Report& report() const { return report_; }  ///< empty when the document is not sound
  const build::Problems& problems() const { return read_->problems; }  ///< why it is not
  const std::string& json() const { return json_; }  ///< the report (docs/api.md, "The report")
  /// What a station is drawn from, as text; an empty object for a document that is not sound.
  /// @param station an id of stations::station_work()
  std::string picture(std::string_view station) const;

 private:
  std::shared_ptr<const build::ReadBuild> read_;
  std::shared_ptr<const stations::Sources> sources_;  // of read_->build; null without one
  stations::Report report_;
  std::string json_;
};

/// How many findings have each verdict, and the mistakes: a line of the list of engines.
struct Counts {
  stations::Tally verdicts;
  int mistakes = 0;
};
Counts counts_of(const stations::Report& report);

/// Proofs already worked out, the latest used `most` of them. A version of an engine never changes, so
/// neither does its proof. Every member may be called from any thread; the last one waits for what has been
/// begun.
class Proofs {
 public:
  explicit Proofs(std::size_t most = 32);
  ~Proofs();
  Proofs(const Proofs&) = delete;
  Proofs& operator=(const Proofs&) = delete;

  /// Works out what is not known yet, outside the lock.
  std::shared_ptr<const Proof> of(const std::string& engine, ledger::EntryNumber version,
                                  const nlohmann::json& document);
  /// Begins the proof of a document that will be asked for soon, beside whatever the caller does next: while
  /// the ledger waits for the disk, say. Nothing for one that is not sound.
  void begin(const std::shared_ptr<const build::ReadBuild>& read);
  /// A document that is not an engine's (yet).
  Proof of(const nlohmann::json& document) const { return {builds_->of(document), memory_}; }
  /// Documents as builds, the latest of them kept.
  const std::shared_ptr<ReadBuilds>& builds() const { return builds_; }
  /// Only what is known already.
  std::shared_ptr<const Proof> known(const std::string& engine, ledger::EntryNumber version);
  /// Of the latest version worked out, if it is this one; kept for every engine.
  std::optional<Counts> counts(const std::string& engine, ledger::EntryNumber version);

 private:
  class Begun;
  using Key = std::pair<std::string, ledger::EntryNumber>;
  struct Kept {
    Key key;
    std::shared_ptr<const Proof> proof;
  };

  /// The proof of a build read, begun before or worked out now.
  std::shared_ptr<const Proof> prove(const std::shared_ptr<const build::ReadBuild>& read);

  std::size_t most_;
  std::shared_ptr<ReadBuilds> builds_ = std::make_shared<ReadBuilds>();
  std::shared_ptr<stations::Memory> memory_;
  std::mutex mutex_;
  std::list<Kept> recent_;  // latest used first
  std::map<Key, std::list<Kept>::iterator> places_;
  std::map<std::string, std::pair<ledger::EntryNumber, Counts>> counts_;
  std::list<std::unique_ptr<Begun>> begun_;  // latest first, not asked for yet
};

/// Findings of `to` whose value or verdict differs from that of `from` by more than rounding, those gone
/// included, as text (docs/api.md, "moved").
std::string moved_json(const stations::Report& from, const stations::Report& to);

}  // namespace fettle::serve
