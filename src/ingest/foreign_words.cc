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
                             Row{"druck", "pressure"},
                             Row{"außengerät", "outdoor unit"},
                             Row{"aussengerät", "outdoor unit"},
                             Row{"innengerät", "indoor unit"},
                             Row{"heißgas", "discharge"},
                             Row{"heissgas", "discharge"},
                             Row{"druckgas", "discharge"},
                             Row{"sauggas", "suction"},
                             Row{"außen", "outdoor"},
                             Row{"aussen", "outdoor"},
                             Row{"innen", "indoor"},
                             Row{"raum", "room"},
                             Row{"refoulement", "discharge"},
                             Row{"aspiration", "suction"},
                             Row{"extérieure", "outdoor"},
                             Row{"extérieur", "outdoor"},
                             Row{"temperatura exterior", "outdoor temperature"},
                             Row{"temperatura esterna", "outdoor temperature"},
                             Row{"temp. esterna", "outdoor temperature"},
                             Row{"temp. exterior", "outdoor temperature"},
                             Row{"presión de descarga", "discharge pressure"},
                             Row{"presión de aspiración", "suction pressure"},
                             Row{"外気", "outdoor"},
                             Row{"室内", "indoor"},
                             Row{"室外", "outdoor"},
                             Row{"吐出", "discharge"},
                             Row{"吸入", "suction"},
                             Row{"周波数", "frequency"},
                             Row{"圧力", "pressure"},
                             Row{"温度", "temperature"},
                             Row{"湿度", "humidity"},
                             Row{"設定", "set point"}};

/// Words of states as programs write them. Common words, no source.
constexpr std::array states = {Row{"on", "on"},
                               Row{"true", "on"},
                               Row{"yes", "on"},
                               Row{"active", "on"},
                               Row{"running", "on"},
                               Row{"run", "on"},
                               Row{"started", "on"},
                               Row{"enabled", "on"},
                               Row{"ein", "on"},
                               Row{"an", "on"},
                               Row{"ja", "on"},
                               Row{"marche", "on"},
                               Row{"oui", "on"},
                               Row{"si", "on"},
                               Row{"encendido", "on"},
                               Row{"運転", "on"},
                               Row{"運転中", "on"},
                               Row{"入", "on"},
                               Row{"オン", "on"},
                               Row{"off", "off"},
                               Row{"false", "off"},
                               Row{"no", "off"},
                               Row{"inactive", "off"},
                               Row{"idle", "off"},
                               Row{"stop", "off"},
                               Row{"stopped", "off"},
                               Row{"disabled", "off"},
                               Row{"aus", "off"},
                               Row{"nein", "off"},
                               Row{"arrêt", "off"},
                               Row{"arret", "off"},
                               Row{"non", "off"},
                               Row{"apagado", "off"},
                               Row{"停止", "off"},
                               Row{"停止中", "off"},
                               Row{"切", "off"},
                               Row{"オフ", "off"},
                               Row{"heat", "heating"},
                               Row{"htg", "heating"},
                               Row{"heizen", "heating"},
                               Row{"heizbetrieb", "heating"},
                               Row{"heizung", "heating"},
                               Row{"chauffage", "heating"},
                               Row{"chaud", "heating"},
                               Row{"calefacción", "heating"},
                               Row{"暖房", "heating"},
                               Row{"cool", "cooling"},
                               Row{"clg", "cooling"},
                               Row{"kühlen", "cooling"},
                               Row{"kühlbetrieb", "cooling"},
                               Row{"kühlung", "cooling"},
                               Row{"refroidissement", "cooling"},
                               Row{"froid", "cooling"},
                               Row{"refrigeración", "cooling"},
                               Row{"冷房", "cooling"},
                               Row{"defrosting", "defrost"},
                               Row{"abtauen", "defrost"},
                               Row{"abtauung", "defrost"},
                               Row{"dégivrage", "defrost"},
                               Row{"除霜", "defrost"},
                               Row{"霜取り", "defrost"},
                               Row{"bereitschaft", "standby"},
                               Row{"veille", "standby"},
                               Row{"待機", "standby"},
                               Row{"lüften", "fan"},
                               Row{"ventilation", "fan"},
                               Row{"送風", "fan"}};

}  // namespace

std::string meaning_of_word(std::string_view cell) {
  const std::string low = to_lower(cell);
  for (const Row& row : states) {
    if (row.word == low) return std::string(row.english);
  }
  return low;
}

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
