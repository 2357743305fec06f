// The page's files out of the program, and small pieces that need no server.

#include <zlib.h>

#include "ledger/entry.h"
#include "serve/assets.h"
#include "serve/proofs.h"
#include "serve/reading_ids.h"
#include "serve/says.h"
#include "serve/support.h"

namespace fettle::serve {
namespace {

using namespace testing;

std::string header(const Answer& answer, std::string_view name) {
  for (const auto& [key, value] : answer.headers) {
    if (key == name) {
      return value;
    }
  }
  return {};
}

std::string unzipped(const std::string& bytes) {
  z_stream stream{};
  EXPECT_EQ(inflateInit2(&stream, 15 + 16), Z_OK);
  std::string in = bytes;
  std::string out(std::size_t{8} << 20, '\0');
  stream.next_in = reinterpret_cast<Bytef*>(in.data());
  stream.avail_in = static_cast<uInt>(in.size());
  stream.next_out = reinterpret_cast<Bytef*>(out.data());
  stream.avail_out = static_cast<uInt>(out.size());
  EXPECT_EQ(inflate(&stream, Z_FINISH), Z_STREAM_END);
  out.resize(stream.total_out);
  inflateEnd(&stream);
  return out;
}

TEST(PageFiles, ThereIsAlwaysAPage) {
  const Answer answer = page_answer("/", "", "");
  EXPECT_EQ(answer.status, 200);
  EXPECT_EQ(answer.type, "text/html; charset=utf-8");
  EXPECT_EQ(header(answer, "Cache-Control"), "no-cache");
  EXPECT_NE(answer.body.find("Fettle"), std::string::npos);
  EXPECT_EQ(page_answer("/no/such.js", "", "").status, 404);
}

TEST(PageFiles, AreSentCompressedToThoseWhoTakeItAndAsTheyAreToOthers) {
  if (page_assets().empty()) {
    GTEST_SKIP() << "built without the page";
  }
  for (const Asset& asset : page_assets()) {
    const Answer plain = page_answer(asset.path, "", "");
    EXPECT_EQ(plain.body, asset.bytes);
    EXPECT_TRUE(header(plain, "Content-Encoding").empty());
    const Answer packed = page_answer(asset.path, "br;q=1.0, gzip;q=0.8, *;q=0.1", "");
    if (header(packed, "Content-Encoding") == "gzip") {
      EXPECT_EQ(unzipped(packed.body), asset.bytes) << asset.path;
      EXPECT_EQ(header(packed, "Vary"), "Accept-Encoding");
    }
    EXPECT_TRUE(header(page_answer(asset.path, "br, gzip;q=0", ""), "Content-Encoding").empty());
    const bool hashed = asset.path.starts_with("/assets/");
    EXPECT_EQ(header(plain, "Cache-Control"), hashed ? "public, max-age=31536000, immutable" : "no-cache");
    const Answer known = page_answer(asset.path, "", header(plain, "ETag"));
    EXPECT_EQ(known.status, 304);
    EXPECT_TRUE(known.body.empty());
  }
}

TEST(ReadingIds, AreUniqueAndLeaveThoseThereAlone) {
  json document =
      json::parse(R"({"readings": [{"kind": "a"}, {"id": "r1"}, {"id": "r3"}, {}, 7, {"id": 5}]})");
  give_ids(document);
  EXPECT_EQ(
      document,
      json::parse(
          R"({"readings": [{"kind": "a", "id": "r2"}, {"id": "r1"}, {"id": "r3"}, {"id": "r4"}, 7, {"id": 5}]})"));
  for (const char* text : {"7", "[]", "{}", R"({"readings": 7})"}) {
    json odd = json::parse(text);
    give_ids(odd);
    EXPECT_EQ(odd, json::parse(text));
  }
}

ledger::Entry entry_of(ledger::EntryKind kind, std::vector<ledger::Step> steps) {
  ledger::Entry entry;
  entry.kind = kind;
  entry.steps = std::move(steps);
  return entry;
}

TEST(EntryInWords, NamesThePlaceAndBothValues) {
  using ledger::EntryKind;
  EXPECT_EQ(
      says(entry_of(EntryKind::change, {{"/cam/card/intake/lift", {}, json("0.3 in"), json("0.29 in")}})),
      "cam, card, intake, lift: 0.29 in -> 0.3 in");
  EXPECT_EQ(says(entry_of(EntryKind::change, {{"/readings/r17", {}, json::object(), std::nullopt}})),
            "reading r17 added");
  EXPECT_EQ(says(entry_of(EntryKind::change, {{"/readings/r17", {}, std::nullopt, json::object()}})),
            "reading r17 removed");
  EXPECT_EQ(says(entry_of(EntryKind::change, {{"/tools/a~1b~0/noise", {}, json("1 in"), std::nullopt}})),
            "tools, a/b~, noise: 1 in");
  EXPECT_EQ(says(entry_of(EntryKind::change, {{"", {}, json::object(), json::object()}})),
            "the whole build changed");
  EXPECT_EQ(
      says(entry_of(EntryKind::undo, {{"/a", {}, std::nullopt, json(1)}, {"/b", {}, json(2), json(1)}})),
      "a removed, and 1 more");
  EXPECT_EQ(says(entry_of(EntryKind::archive, {})), "put away");
}

TEST(ProofCache, KeepsTheLatestUsedOnly) {
  Proofs proofs(2);
  const json document = build::small_document();
  const auto first = proofs.of("a", 1, document);
  EXPECT_EQ(proofs.of("a", 1, document), first);
  static_cast<void>(proofs.of("b", 2, document));
  EXPECT_EQ(proofs.known("a", 1), first);
  static_cast<void>(proofs.of("c", 3, document));
  EXPECT_EQ(proofs.known("b", 2), nullptr);
  EXPECT_EQ(proofs.known("a", 1), first);
  EXPECT_TRUE(proofs.counts("b", 2).has_value());
  EXPECT_FALSE(proofs.counts("b", 1).has_value());
}

TEST(Moved, NamesWhatCameWhatWentAndWhatChanged) {
  stations::Report from;
  stations::Report to;
  const auto finding = [](const char* id, double value) {
    stations::Finding one;
    one.id = id;
    one.value = value;
    return one;
  };
  from.findings = {finding("tdc.wheel", 1), finding("tdc.shift", 2), finding("cam.advance", 3)};
  to.findings = {finding("tdc.wheel", 1 + 1e-12), finding("tdc.shift", 2.001), finding("cam.overlap", 4)};
  const auto moved = nlohmann::json::parse(moved_json(from, to));
  ASSERT_EQ(moved.size(), 3U);
  EXPECT_EQ(moved[0]["id"], "tdc.shift");
  EXPECT_EQ(moved[1]["id"], "cam.overlap");
  EXPECT_EQ(moved[1]["from"]["value"], nullptr);
  EXPECT_EQ(moved[2]["id"], "cam.advance");
  EXPECT_EQ(moved[2]["to"]["value"], nullptr);
  to.findings[0].verdict = metrology::Verdict::holds;
  EXPECT_EQ(nlohmann::json::parse(moved_json(from, to))[0]["to"]["verdict"], "holds");
}

}  // namespace
}  // namespace fettle::serve
