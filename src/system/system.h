#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/dimension.h"
#include "base/result.h"
#include "fluid/refrigerant.h"
#include "system/tube.h"

/// The system sheet as the program uses it: one machine on one pipe network. Plain SI, units in the
/// names. Places are texts of the form that recordings use: "outdoor.1", "branch.2", "indoor.3".
namespace cw {

/// A figure that the sheet left open and what was taken instead. Every output lists them.
struct Assumption {
  std::string place;   ///< "outdoor.1", "room.of-indoor.3", "pipe.7", "charge", "site"
  std::string key;     ///< as the sheet would write it: "coil_volume"
  double value = 0.0;  ///< SI; without meaning where `text` is set
  Dimension dimension = Dimension::ratio;
  std::string text;    ///< for figures that are words: a tube size
  std::string reason;  ///< "0.36 L per kW of rated cooling"
  std::string source;  ///< "own estimate", "common practice, no source", "from memory"
};

/// Something that is possible and unusual.
struct SheetWarning {
  std::string where;  ///< file:line, or the place
  std::string message;
  std::string fix;
};

struct Site {
  std::string name;
  double altitude_m = 0.0;
  std::string zone;  ///< IANA name; empty where the sheet has none
};

/// A date as the sheet writes it.
struct SheetDate {
  int year = 0;
  int month = 0;
  int day = 0;
};

struct OutdoorModule {
  std::string id;  ///< "outdoor.1"
  std::string name;
  double cooling_W = 0.0;        ///< rated
  double heating_W = 0.0;        ///< rated
  int compressors = 1;           ///< all alike
  double displacement_m3 = 0.0;  ///< of one compressor, for one revolution
  std::string
      compressor_map;  ///< file, relative to the sheet; empty: efficiencies and displacement
  double speed_lowest_Hz = 0.0;  ///< revolutions per second
  double speed_highest_Hz = 0.0;
  double coil_face_area_m2 = 0.0;
  double coil_volume_m3 = 0.0;    ///< inside the tubes
  double airflow_m3_per_s = 0.0;  ///< rated, of all fans
  int fans = 1;
  int valves = 1;  ///< electronic expansion valves at the coil
  double accumulator_volume_m3 = 0.0;
  double accumulator_usable_m3 = 0.0;  ///< liquid that fits below the outlet
  double factory_charge_kg = 0.0;      ///< as shipped
};

struct BranchBox {
  std::string id;  ///< "branch.1"
  std::string name;
  int ports = 0;
  double volume_m3 = 0.0;  ///< inside, all lines
};

enum class IndoorType { unstated, cassette, ducted, wall, ceiling, floor, fresh_air, other };
std::string_view name_of(IndoorType type) noexcept;

/// What the unit compares with its set point.
enum class ControlledBy { return_air, wall_sensor };
std::string_view name_of(ControlledBy by) noexcept;  ///< "return air", "wall sensor"

struct IndoorUnit {
  std::string id;  ///< "indoor.3"
  std::string name;
  IndoorType type = IndoorType::unstated;
  double cooling_W = 0.0;
  double heating_W = 0.0;
  double airflow_m3_per_s = 0.0;
  double coil_volume_m3 = 0.0;
  ControlledBy controlled_by = ControlledBy::return_air;
  std::size_t room = 0;  ///< in System::rooms()
};

struct Room {
  std::string id;  ///< "room.lobby"; "room.of-indoor.3" for one that the unit's own table describes
  std::string name;
  double floor_area_m2 = 0.0;
  double height_m = 0.0;
  double volume_m3 = 0.0;
  bool institutional = false;          ///< people who cannot leave unaided sleep or are held here
  bool volume_assumed = false;         ///< not fit for a judgement of safety
  std::vector<std::size_t> connected;  ///< rooms open to this one for good
};

/// The lines that run side by side in one segment.
enum class Line {
  liquid,
  gas,   ///< suction gas in cooling, hot gas in heating; always suction gas before a branch box
  third  ///< high-pressure gas to branch boxes
};
std::string_view name_of(Line line) noexcept;

/// Bends and the like; the same number in each line of the segment.
struct Fitting {
  std::string kind;  ///< "elbow", ...; "other" for a length of its own
  int count = 1;
  double bores = 0.0;                  ///< equivalent length of one in bores of its line
  std::optional<double> equivalent_m;  ///< of one; rules over `bores`
};

/// One run of pipe between two nodes; `from` is the outdoor side.
struct Segment {
  std::string id;        ///< "pipe.4", counted as the sheet has them
  std::size_t from = 0;  ///< in System::nodes()
  std::size_t to = 0;
  double length_m = 0.0;
  double rise_m = 0.0;           ///< positive where `to` is higher than `from`
  const Tube* liquid = nullptr;  ///< never null
  const Tube* gas = nullptr;     ///< never null
  const Tube* third = nullptr;   ///< null without a third line
  bool sizes_assumed = false;    ///< at least one of them
  std::vector<Fitting> fittings;
  double cooling_behind_W = 0.0;  ///< rated, of what the pipe serves: the indoor units behind it;
                                  ///< before the joint of the modules, the module's own
  int line;                       ///< of the sheet; 0 for a pipe that [piping] made

  const Tube* tube(Line which) const {
    return which == Line::liquid ? liquid : which == Line::gas ? gas : third;
  }
};

enum class NodeKind { outdoor, joint, branch, indoor };

/// An end of pipes. The nodes form a tree.
struct Node {
  std::string id;  ///< "outdoor.1", "joint.a", "branch.1", "indoor.3"
  NodeKind kind = NodeKind::joint;
  std::size_t unit = 0;                 ///< in outdoor(), branches() or indoor(); 0 for joints
  std::vector<std::size_t> upstream;    ///< segments that end here
  std::vector<std::size_t> downstream;  ///< segments that start here
  double height_m = 0.0;                ///< above the first outdoor module
};

/// Refrigerant weighed in or out on site.
struct ChargeMovement {
  double mass_kg = 0.0;  ///< positive into the system
  std::optional<SheetDate> date;
  std::string note;
};

/// A charge coefficient of the equipment's documents.
struct ChargeCoefficient {
  const Tube* tube = nullptr;  ///< of the liquid line, never null
  double kg_per_m = 0.0;
};

struct Charge {
  double factory_kg = 0.0;  ///< of all modules together
  std::vector<ChargeMovement> movements;
  std::string coefficient_source;  ///< document that coefficients and allowances come from
  std::vector<ChargeCoefficient> coefficients;
  double allowance_outdoor_kg = 0.0;  ///< each
  double allowance_branch_kg = 0.0;   ///< each
  double allowance_indoor_kg = 0.0;   ///< each

  double added_kg() const;
  double total_kg() const { return factory_kg + added_kg(); }
};

/// What a System is made of; only the reader fills it.
struct SystemParts {
  std::string file;  ///< name of the sheet, as errors call it
  std::string text;  ///< the sheet itself: other modules read tables of their own from it
  std::string name;
  const fluid::Refrigerant* refrigerant = nullptr;
  Site site;
  std::vector<OutdoorModule> outdoor;
  std::vector<BranchBox> branches;
  std::vector<IndoorUnit> indoor;
  std::vector<Room> rooms;
  std::vector<Node> nodes;
  std::vector<Segment> segments;
  std::size_t root = 0;
  Charge charge;
  std::vector<Assumption> assumptions;
  std::vector<SheetWarning> warnings;
};

/// A checked system sheet. Immutable; copies share their contents; thread-safe.
///
/// What holds for every System: at least one outdoor module and one indoor unit; the pipes form one
/// tree that reaches every module, branch box and unit exactly once and leads from outdoor to
/// indoor; all sizes, volumes, capacities, speeds and lengths are positive and finite.
class System {
 public:
  const std::string& file() const { return parts_->file; }
  const std::string& text() const { return parts_->text; }
  const std::string& name() const { return parts_->name; }
  const fluid::Refrigerant& refrigerant() const { return *parts_->refrigerant; }
  const Site& site() const { return parts_->site; }
  const std::vector<OutdoorModule>& outdoor() const { return parts_->outdoor; }
  const std::vector<BranchBox>& branches() const { return parts_->branches; }
  const std::vector<IndoorUnit>& indoor() const { return parts_->indoor; }
  const std::vector<Room>& rooms() const { return parts_->rooms; }
  /// Nodes, outdoor side first: a segment's `from` stands before its `to`.
  const std::vector<Node>& nodes() const { return parts_->nodes; }
  const std::vector<Segment>& segments() const { return parts_->segments; }
  /// The node that every path passes: the module itself, or the joint of the modules.
  std::size_t root() const { return parts_->root; }
  const Charge& charge() const { return parts_->charge; }
  bool heat_recovery() const { return !parts_->branches.empty(); }
  const std::vector<Assumption>& assumptions() const { return parts_->assumptions; }
  const std::vector<SheetWarning>& warnings() const { return parts_->warnings; }

  /// Was this figure taken because the sheet left it open?
  bool is_assumed(std::string_view place, std::string_view key) const;
  /// Node by place; empty when there is none.
  std::optional<std::size_t> node_of(std::string_view place) const;

 private:
  friend class SystemMaker;
  explicit System(std::shared_ptr<const SystemParts> parts) : parts_(std::move(parts)) {}
  std::shared_ptr<const SystemParts> parts_;
};

}  // namespace cw
