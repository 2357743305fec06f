#pragma once

#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <string>
#include <variant>

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include "ledger/ledger.h"

namespace fettle::ledger::testing {

using nlohmann::json;

/// A folder of its own, gone with the test.
class TemporaryFolder {
 public:
  explicit TemporaryFolder(const std::filesystem::path& parent = std::filesystem::temp_directory_path()) {
    std::random_device random;
    path_ = parent / fmt::format("fettle-ledger-{:08x}{:08x}", random(), random());
    std::filesystem::create_directories(path_);
  }
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;
  ~TemporaryFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  [[nodiscard]] const std::filesystem::path& path() const { return path_; }
  [[nodiscard]] std::filesystem::path operator/(const std::string& name) const { return path_ / name; }

 private:
  std::filesystem::path path_;
};

/// For what is about rules and not about disks: a folder in memory, where the system has one.
inline std::filesystem::path quick_parent() {
  const std::filesystem::path memory = "/dev/shm";
  return ::access(memory.c_str(), W_OK) == 0 ? memory : std::filesystem::temp_directory_path();
}

/// A clock that moves one second at each look, and ids e1, e2, e3.
class CountingEnvironment final : public Environment {
 public:
  explicit CountingEnvironment(std::string prefix = "e") : prefix_(std::move(prefix)) {}
  Instant now() override { return Instant(std::chrono::seconds(1'700'000'000 + seconds_++)); }
  std::string new_engine_id() override { return fmt::format("{}{}", prefix_, ++ids_); }

 private:
  std::string prefix_;
  int seconds_ = 0;
  int ids_ = 0;
};

inline Writer turner() {
  return {"turner", "phone", std::nullopt};
}
inline Writer reader() {
  return {"reader", "tablet", std::nullopt};
}
inline Writer under_key(const std::string& key) {
  return {"turner", "phone", key};
}

/// The answer of the kind expected; the test fails with the whole answer otherwise.
template <typename Outcome>
Outcome expect_outcome(const WriteResult& result) {
  const auto* outcome = std::get_if<Outcome>(&result);
  EXPECT_NE(outcome, nullptr) << to_json(result).dump(1);
  return outcome != nullptr ? *outcome : Outcome{};
}
inline Applied applied(const WriteResult& result) {
  return expect_outcome<Applied>(result);
}

inline Operation set(const std::string& path, json value) {
  return {path, std::move(value)};
}
inline Operation removal(const std::string& path) {
  return {path, std::nullopt};
}

inline std::string contents(const std::filesystem::path& file) {
  std::ifstream stream(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(stream), std::istreambuf_iterator<char>()};
}

inline void write_file(const std::filesystem::path& file, const std::string& bytes) {
  std::ofstream(file, std::ios::binary) << bytes;
}

inline json two_readings() {
  return json::parse(R"({"fettle": 1, "name": "Invented 5.4",
    "readings": [{"id": "r1", "kind": "stop_contact", "wheel": "0 deg"},
                 {"id": "r2", "kind": "stop_contact", "wheel": "41 deg"}],
    "timing_set": {"positions": ["-4 deg", "0 deg", "4 deg"]}})");
}

/// What goes wrong with a file, told by the error.
template <typename Work>
Trouble trouble_of(const Work& work) {
  try {
    work();
  } catch (const LedgerError& error) {
    EXPECT_FALSE(error.happened().empty());
    EXPECT_FALSE(error.remedy().empty());
    EXPECT_NE(std::string(error.what()).find(error.file().string()), std::string::npos);
    return error.trouble();
  }
  ADD_FAILURE() << "no LedgerError was thrown";
  return Trouble::input_output;
}

}  // namespace fettle::ledger::testing
