#include "ingest/foreign_words.h"

#include <array>

#include "base/text.h"

namespace cw {
namespace {

struct Row {
  std::string_view word;  ///< lower case
  std::string_view english;
};

// Longer words first: "Heißgastemperatur" before "Temperatur". Common words of the trade, no
// source.
constexpr std::array rows = {Row{"température de refoulement", "discharge temperature"},
                             Row{"température d'aspiration", "suction temperature"},
                             Row{"température de soufflage", "supply air temperature"},
                             Row{"fréquence du compresseur", "compressor frequency"},
                             Row{"température extérieure", "outdoor temperature"},
                             Row{"température refoulement", "discharge temperature"},
                             Row{"température intérieure", "room temperature"},
                             Row{"flüssigkeitstemperatur", "liquid temperature"},
                             Row{"température aspiration", "suction temperature"},
                             Row{"température de reprise", "return air temperature"},
                             Row{"pression de refoulement", "discharge pressure"},
                             Row{"fréquence compresseur", "compressor frequency"},
                             Row{"température ambiante", "room temperature"},
                             Row{"pression d'aspiration", "suction pressure"},
                             Row{"puissance électrique", "power"},
                             Row{"température liquide", "liquid temperature"},
                             Row{"heißgastemperatur", "discharge temperature"},
                             Row{"heissgastemperatur", "discharge temperature"},
                             Row{"druckgastemperatur", "discharge temperature"},
                             Row{"ölsumpftemperatur", "shell temperature"},
                             Row{"verdichterfrequenz", "compressor frequency"},
                             Row{"verdichterdrehzahl", "compressor speed"},
                             Row{"吐出ガス温度", "discharge temperature"},
                             Row{"吸入ガス温度", "suction temperature"},
                             Row{"圧縮機周波数", "compressor frequency"},
                             Row{"sauggastemperatur", "suction temperature"},
                             Row{"leistungsaufnahme", "power"},
                             Row{"temp. extérieure", "outdoor temperature"},
                             Row{"außentemperatur", "outdoor temperature"},
                             Row{"aussentemperatur", "outdoor temperature"},
                             Row{"zulufttemperatur", "supply air temperature"},
                             Row{"ablufttemperatur", "return air temperature"},
                             Row{"ガス管温度", "gas pipe temperature"},
                             Row{"運転モード", "mode"},
                             Row{"raumtemperatur", "room temperature"},
                             Row{"haute pression", "discharge pressure"},
                             Row{"pression haute", "discharge pressure"},
                             Row{"basse pression", "suction pressure"},
                             Row{"pression basse", "suction pressure"},
                             Row{"température", "temperature"},
                             Row{"外気温度", "outdoor temperature"},
                             Row{"吐出温度", "discharge temperature"},
                             Row{"吸入温度", "suction temperature"},
                             Row{"液管温度", "liquid pipe temperature"},
                             Row{"室内温度", "room temperature"},
                             Row{"設定温度", "set point"},
                             Row{"吸込温度", "return air temperature"},
                             Row{"吹出温度", "supply air temperature"},
                             Row{"吐出圧力", "discharge pressure"},
                             Row{"高圧圧力", "discharge pressure"},
                             Row{"吸入圧力", "suction pressure"},
                             Row{"低圧圧力", "suction pressure"},
                             Row{"消費電力", "power"},
                             Row{"niederdruck", "suction pressure"},
                             Row{"betriebsart", "mode"},
                             Row{"luftfeuchte", "humidity"},
                             Row{"compresseur", "compressor"},
                             Row{"außenluft", "outdoor air"},
                             Row{"verdichter", "compressor"},
                             Row{"dégivrage", "defrost"},
                             Row{"hochdruck", "discharge pressure"},
                             Row{"saugdruck", "suction pressure"},
                             Row{"puissance", "power"},
                             Row{"humidité", "humidity"},
                             Row{"外気温", "outdoor temperature"},
                             Row{"圧縮機", "compressor"},
                             Row{"sollwert", "set point"},
                             Row{"leistung", "power"},
                             Row{"abtauung", "defrost"},
                             Row{"pression", "pressure"},
                             Row{"consigne", "set point"},
                             Row{"abtauen", "defrost"},
                             Row{"室温", "room temperature"},
                             Row{"高圧", "discharge pressure"},
                             Row{"低圧", "suction pressure"},
                             Row{"電力", "power"},
                             Row{"除霜", "defrost"},
                             Row{"druck", "pressure"}};

}  // namespace

std::string in_english(std::string_view header) {
  std::string out(header);
  // Letters outside ASCII are compared as they stand; at the begin of a word they may be capitals.
  std::string low = to_lower(header);
  const auto in_word = [&](std::size_t at) {
    return at > 0 && low[at - 1] >= 'a' && low[at - 1] <= 'z';  // "pression" in "compression"
  };
  for (const Row& row : rows) {
    std::size_t at = 0;
    while ((at = low.find(row.word, at)) != std::string::npos) {
      if (in_word(at)) {
        ++at;
        continue;
      }
      const std::string put = " " + std::string(row.english) + " ";
      low.replace(at, row.word.size(), put);
      out.replace(at, row.word.size(), put);
      at += put.size();
    }
  }
  return out;
}

}  // namespace cw
