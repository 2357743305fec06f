#pragma once

#include <functional>
#include <mutex>
#include <optional>
#include <string>
#include <utility>
#include <variant>

#include "ledger/ledger.h"
#include "ledger/schema.h"
#include "ledger/store.h"

namespace fettle::ledger {

/// What a request comes to: one entry to append, or the reason for none.
struct Plan {
  std::vector<Step> steps;
  EngineState after;
  std::optional<EntryNumber> undoes;
  std::optional<EntryNumber> redoes;
};
using Planned = std::variant<Plan, Conflict, Refused>;

/// What the members of Ledger share.
struct Ledger::Inside {
  Inside(const std::filesystem::path& file, const Options& options, Environment* environment);

  std::filesystem::path file;
  Options options;
  SystemEnvironment system;
  Environment& environment;
  std::mutex mutex;
  SQLite::Database database;
  Store store;

  /// Runs one transaction, one caller at a time, and explains what SQLite reports.
  template <typename Work>
  auto reading(const Work& work) {
    return run(SQLite::TransactionBehavior::DEFERRED, work);
  }
  template <typename Work>
  auto writing(const Work& work) {
    return run(SQLite::TransactionBehavior::IMMEDIATE, work);
  }

  /// A request about an engine there is: checks the writer and the key, plans, appends.
  WriteResult write(EntryKind kind, const std::string& engine, const Writer& writer,
                    const std::function<bool(const Entry&)>& same_request,
                    const std::function<Planned(const EngineRow&)>& plan);

  /// A request that begins an engine.
  WriteResult begin(const std::string& name, const nlohmann::json& document,
                    const std::optional<nlohmann::json>& origin, const Writer& writer);

  /// The answer to a key seen before, or nothing for a new one.
  std::optional<WriteResult> repeated(const Writer& writer,
                                      const std::function<bool(const Entry&)>& same_request);

  Applied append(Entry& entry, EngineRow& row);
  Entry entry_by(const Writer& writer, EntryKind kind, const std::string& engine);
  std::string new_engine_id();

 private:
  template <typename Work>
  auto run(SQLite::TransactionBehavior behavior, const Work& work) {
    const std::lock_guard lock(mutex);
    try {
      SQLite::Transaction transaction(database, behavior);
      auto result = work();
      transaction.commit();
      return result;
    } catch (const SQLite::Exception& error) {
      throw explain(error, file);
    }
  }
};

/// What is wrong with a name, a person, a device or a key, or nothing.
std::optional<Refused> unfit_text(const char* what, const std::string& text);
std::optional<Refused> unfit_writer(const Writer& writer);
/// 1 to 64 letters, digits, "-" and "_": what fits into a path of a URL as it is.
bool is_engine_id(std::string_view text);
std::optional<Refused> unfit_document(const nlohmann::json& document, const Options& options);
/// What Options::objections has against it, or nothing.
std::optional<Refused> unsound_document(const nlohmann::json& document, const Options& options);

/// One path a writer wants to change, and what it would become.
struct Wish {
  std::string path;
  std::string footprint;  ///< the path whose meaning changes: `path`, or the array's above it
  std::optional<nlohmann::json> value;
};

/// Where entries later than `base` touched what the wishes are about.
std::vector<Clash> clashes(Store& store, const EngineRow& row, EntryNumber base,
                           const std::vector<Wish>& wishes);

/// Everything that entries later than `base` touched.
std::vector<Clash> changes_since(Store& store, const EngineRow& row, EntryNumber base);

}  // namespace fettle::ledger
