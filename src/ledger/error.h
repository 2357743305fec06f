#pragma once

#include <filesystem>
#include <stdexcept>
#include <string>

namespace fettle::ledger {

/// What stands behind a LedgerError.
enum class Trouble {
  missing,       ///< there is no such file
  not_a_ledger,  ///< the file is something else; it has not been touched
  newer,         ///< written by a later Fettle; it has not been touched
  damaged,       ///< the file contradicts itself
  full,          ///< no room: the change was not made
  read_only,     ///< the file may not be written: the change was not made
  busy,          ///< another process held the ledger for too long: the change was not made
  input_output,  ///< the system refused a read or a write
};

/// The storage failed or may not be used. Thrown by everything that touches a ledger's file; what a client
/// can get wrong (an unknown engine, a bad path, a conflict) is never thrown but returned as data.
///
/// Whatever was acknowledged before is still there. The change in hand was not made, with one exception:
/// `input_output` during a commit leaves open whether it was; sending it again with the same change key
/// settles it.
class LedgerError : public std::runtime_error {
 public:
  /// @param file the ledger (or backup) concerned
  /// @param what what happened, one sentence without a full stop
  /// @param remedy what to do about it, one sentence without a full stop
  LedgerError(Trouble trouble, std::filesystem::path file, std::string what, std::string remedy);

  [[nodiscard]] Trouble trouble() const { return trouble_; }
  [[nodiscard]] const std::filesystem::path& file() const { return file_; }
  [[nodiscard]] const std::string& happened() const { return happened_; }
  [[nodiscard]] const std::string& remedy() const { return remedy_; }

 private:
  Trouble trouble_;
  std::filesystem::path file_;
  std::string happened_;
  std::string remedy_;
};

}  // namespace fettle::ledger
