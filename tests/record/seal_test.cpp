#include "record/seal.h"

#include <gtest/gtest.h>

namespace fettle::record {
namespace {

std::string flipped(std::string text, std::size_t place) {
  text[place] = static_cast<char>(text[place] ^ 1);
  return text;
}

// RFC 7693 gives BLAKE2b-512 only; this is BLAKE2b-256 of the empty text and of "abc", as printed by the
// coreutils program b2sum -l 256 (an implementation of its own, after the authors').
TEST(Seal, DigestsAreBlake2bOf256Bits) {
  EXPECT_EQ(digest_of(""), "0e5751c026e543b2e8ab2eb06099daa1d1e5df47778f7787faab45cdf12fe3a8");
  EXPECT_EQ(digest_of("abc"), "bddd813c634239723171ef3fee98579b94964e3bb1cb3e427262c8c068d52319");
}

TEST(Seal, DigestsAreReadOffPaperInGroups) {
  EXPECT_EQ(in_groups("0e5751c026"), "0e57 51c0 26");
}

// RFC 8032, section 7.1, test 1: the key is the seed with its public half after it.
TEST(Seal, AShopKeyIsAnEd25519Key) {
  const std::string seed = "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60";
  const std::string open = "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a";
  const auto key = read_shop_key(seed + open + "\n");
  ASSERT_TRUE(key);
  EXPECT_EQ(open_half(*key), open);
  EXPECT_FALSE(read_shop_key(seed + seed)) << "the second half does not belong to the first";
  for (const std::string& wrong : {std::string(), seed, seed + open + "00", "x" + seed.substr(1) + open}) {
    EXPECT_FALSE(read_shop_key(wrong)) << wrong;
  }
}

TEST(Seal, AKeyComesBackFromItsText) {
  const ShopKey key = new_shop_key();
  const auto again = read_shop_key(to_text(key));
  ASSERT_TRUE(again);
  EXPECT_EQ(again->secret, key.secret);
  EXPECT_NE(new_shop_key().secret, key.secret);
}

TEST(Seal, WithoutAKeyItTellsAlterationOnly) {
  const std::string file = sealed("<html>112.02 deg</html>\n", nullptr);
  const SealCheck check = check_seal(file);
  EXPECT_EQ(check.state, SealState::unaltered);
  EXPECT_TRUE(check.open_key.empty());
  EXPECT_EQ(check.digest, digest_of("<html>112.02 deg</html>\n"));
}

TEST(Seal, WithAKeyItTellsWhoVouches) {
  const ShopKey key = new_shop_key();
  const SealCheck check = check_seal(sealed("<html></html>\n", &key));
  EXPECT_EQ(check.state, SealState::signed_by);
  EXPECT_EQ(check.open_key, open_half(key));
}

// Whatever single letter is changed, nothing passes as signed.
TEST(Seal, EveryLetterCounts) {
  const ShopKey key = new_shop_key();
  const std::string file = sealed("<p>0.0500 in</p>\n", &key);
  for (std::size_t i = 0; i < file.size(); ++i) {
    EXPECT_NE(check_seal(flipped(file, i)).state, SealState::signed_by) << i;
  }
  EXPECT_EQ(check_seal(flipped(file, 3)).state, SealState::altered);
}

TEST(Seal, TextAfterTheSealIsNotSealed) {
  const std::string file = sealed("<p></p>\n", nullptr);
  EXPECT_EQ(check_seal(file + "<p>more</p>").state, SealState::none);
  EXPECT_EQ(check_seal("<p></p>\n").state, SealState::none);
  EXPECT_EQ(check_seal("").state, SealState::none);
}

// A signature taken from one record and put on another does not hold there.
TEST(Seal, ASignatureBelongsToItsText) {
  const ShopKey key = new_shop_key();
  const std::string one = sealed("one\n", &key);
  const std::string two = sealed("two\n", nullptr);
  std::string forged = two.substr(0, two.find(" -->"));
  forged += one.substr(one.find("; key"));
  EXPECT_EQ(check_seal(forged).state, SealState::altered);
}

}  // namespace
}  // namespace fettle::record
