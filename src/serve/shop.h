#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <string>

#include "ledger/ledger.h"
#include "serve/answer.h"
#include "serve/proofs.h"
#include "serve/pulls.h"

namespace fettle::serve {

/// A request after its form has been checked.
struct Asked {
  std::string method;
  std::string path;  ///< decoded, without the query
  std::map<std::string, std::string> query;
  std::string body;
};

/// Told of every document read before it is written.
using OnRead = std::function<void(const std::shared_ptr<const build::ReadBuild>& read)>;

/// The options of a ledger whose documents are builds: no document gets in that is not sound.
ledger::Options build_ledger_options(
    const std::shared_ptr<ReadBuilds>& builds = std::make_shared<ReadBuilds>(), const OnRead& on_read = {});

/// The routes under /api/ (docs/api.md), on one ledger. Knows nothing of sockets. Every member may be called
/// from any thread; members throw ledger::LedgerError when the file fails them.
class Shop {
 public:
  explicit Shop(const std::filesystem::path& file, const PullBounds& pulls = {});

  /// Answers everything, mistakes of the asker and troubles of the ledger included; throws nothing.
  Answer answer(const Asked& asked);

  ledger::Ledger& ledger() { return ledger_; }
  Proofs& proofs() { return proofs_; }
  Pulls& pulls() { return pulls_; }

  /// Called after every entry made.
  std::function<void()> on_entry;

 private:
  Proofs proofs_;
  ledger::Ledger ledger_;
  Pulls pulls_;
};

/// What is answered when the ledger's file fails: 503 where it cannot be written, 500 otherwise.
Answer trouble_answer(const ledger::LedgerError& error);

}  // namespace fettle::serve
