"""Slips people make, over every command and kind of file, with what the message must say.

A slip is a command line, and where it names a file of its own, the starter file it was copied from and what was
changed in it. Grouped by what went wrong.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Slip:
    """One slip.

    Attributes
    ----------
    line : the command, "bad.toml" (or another name) standing for the changed copy
    says : what the message must hold
    copy_of : the starter file; None: no copy
    changes : (old, new) in its text
    text : of a file of one's own that is no copy
    """

    line: str
    says: tuple[str, ...]
    copy_of: str | None = None
    changes: tuple[tuple[str, str], ...] = ()
    text: str | None = None

    @property
    def called(self) -> str:
        """Name of the file of one's own."""
        return "bad.csv" if "bad.csv" in self.line else "bad.toml"


def slip(line: str, *says: str) -> Slip:
    """A slip on the command line alone."""
    return Slip(line, says)


def edit(line: str, copy_of: str, old: str, new: str, *says: str) -> Slip:
    """A slip in a copy of a starter file."""
    return Slip(line, says, copy_of, ((old, new),))


def whole(line: str, copy_of: str, *says: str) -> Slip:
    """A starter file given for another kind."""
    return Slip(line, says, copy_of)


def written(line: str, text: str, *says: str) -> Slip:
    """A file that is no file of ours."""
    return Slip(line, says, text=text)


SHAFT, STEEL = "shafts/wick-65-s.toml", "shafts/ballast-115-s.toml"
HEAD, SWING, TORQUE = "scenarios/heads/driver.toml", "swings/even.toml", "swings/even-by-torque.toml"
SCENARIO, CUSTOMER = "scenarios/first_fitting.toml", "scenarios/customers/first_customer.toml"
LAYUP, SWAP = "layups/cairn-66-s.toml", "layups/cairn-66-s-bias.toml"
BENCH, READINGS = "scenarios/benches/long_clamp.toml", "scenarios/readings/bench_sheet.toml"
RECORDING = "swings/recordings/practice-swing.toml"
STUDY, SENSITIVITY = "scenarios/tempo_sweep.toml", "scenarios/what_drives_flight.toml"

GROUPS: dict[str, tuple[Slip, ...]] = {
    "a name that is not there": (
        slip("rank first_fiting", "no scenario of that name", 'did you mean "first_fitting"?'),
        slip("rank nothing/here.toml", "nothing/here.toml", "no such scenario file"),
        slip("swing evn", "no swing of that name", 'did you mean "even"?'),
        slip("swing even --shaft wick-65-z", "no shaft of that name", 'did you mean "wick-65-s"?'),
        slip("swing even --head drivr", "no head of that name", 'did you mean "driver"?'),
        slip("match frist_customer", "no customer of that name", 'did you mean "first_customer"?'),
        slip("bench wick-65", "no shaft of that name", "did you mean"),
        slip("bench --setup long_clmp", "no bench of that name", 'did you mean "long_clamp"?'),
        slip("bench --scenario firstfitting", "no scenario of that name", 'did you mean "first_fitting"?'),
        slip("layup cairn-66", "no lay-up of that name", "did you mean"),
        slip("layup cairn-66-s --compare nothing", "no lay-up of that name", "cairn-66-s, cairn-66-s-bias"),
        slip("trim wick-65-t --tip '1 in'", "no shaft of that name"),
        slip("trim wick-65-s --tip '1 in' --swing evn", "no swing of that name"),
        slip("profile bench_shet", "no readings of that name", 'did you mean "bench_sheet"?'),
        slip("convert bench_sheet --to lng_clamp", "no bench of that name", 'did you mean "long_clamp"?'),
        slip("profile bench_sheet --like wick-65-z", "no shaft of that name"),
        slip("record nowhere.toml", "nowhere.toml", "no such file"),
        slip("record nowhere.csv --up +z --target +x --axes right --handed right --impact '1 s'", "nowhere.csv"),
        slip("check nowhere.toml", "nowhere.toml", "no such file"),
        slip("rank ''", "found \"\"", "allowed: the name or path of a scenario"),
        edit("rank bad.toml", SCENARIO, '"marl-60-r"', '"marl-60-q"', "no shaft of that name", "marl-60-r"),
        edit("rank bad.toml", SCENARIO, 'head = "driver"', 'head = "drver"', "no head of that name", "driver"),
        edit("rank bad.toml", SCENARIO, 'swing = "even"', 'swing = "uneven"', "no swing of that name"),
        edit("match bad.toml", CUSTOMER, '"even"', '"eveen"', "no swing of that name", "bad.toml"),
        edit("layup bad.toml", SWAP, '"cairn-66-s"', '"cairn-66"', "cairn-66"),
    ),
    "a command line that cannot be": (
        slip("rnk first_fitting", "rnk", "rank"),
        slip("rank", "scenario"),
        slip("rank first_fitting --fast", "--fast"),
        slip("rank first_fitting --hands loose", "loose", "hold"),
        slip("rank first_fitting --solver fem", "fem", "elements"),
        slip("rank first_fitting --ball teed", "teed", "re-aimed"),
        slip("rank first_fitting --hands all --verify", "--hands all"),
        slip("rank first_fitting --output ranking.txt", "ranking.txt", ".h5"),
        slip("swing even --length 45.5", "found \"45.5\", a number without a unit"),
        slip("swing even --length '45,5 in'", "45,5 in", "write a point"),
        slip("swing even --length '45.5 lb'", "a mass; allowed: a length"),
        slip("swing even --picture swing.jpg", "swing.jpg", ".png"),
        slip("bench --test frequncy", "frequncy", "frequency"),
        slip("bench wick-65-s --against sheet.csv", "--against"),
        slip("bench --swing even --test torque", "--swing"),
        slip("bench --spine '3 %'", "--spine", "--swing"),
        slip("bench --swing even --spine '3 mm'", "--spine", "3 mm"),
        slip("bench wick-65-s --picture bench.pdf", "bench.pdf", ".png"),
        slip("trim wick-65-s", "found no trim", "--tip"),
        slip("trim wick-65-s --tip 1", "--tip: found \"1\", a number without a unit"),
        slip("trim wick-65-s --tip '1 in:0 in:0.5 in'", "--tip"),
        slip("trim wick-65-s --tip '0 in:2 in:0 in'", "--tip"),
        slip("trim wick-65-s --tip '-1 in'", "--tip", "-1 in"),
        slip("trim wick-65-s --tip '1 in' --hands hold", "--hands"),
        slip("trim wick-65-s --tip '44 in'", "44"),
        slip("match first_customer --output swing.h5", "swing.h5", ".toml"),
        slip("layup cairn-66-s --output shaft.csv", "shaft.csv", ".toml"),
        slip("profile bench_sheet --output shaft.csv", "shaft.csv", ".toml"),
        slip("profile bench_sheet --picture profile.bmp", "profile.bmp", ".png"),
        slip("convert bench_sheet", "to"),
        slip("list grips", "grips", "swings"),
        slip("check", "file"),
        slip("init", "directory"),
    ),
    "a number without its unit, or with a wrong one": (
        edit("check bad.toml", SHAFT, '"46 in"', "46", "bad.toml", "raw_length: found 46, a bare number"),
        edit("check bad.toml", SHAFT, '"65 g"', '"65"', "mass", "a number without a unit"),
        edit("check bad.toml", SHAFT, '"65 g"', '"65 mm"', "mass", "a length; allowed: a mass"),
        edit("check bad.toml", SHAFT, '"65 g"', '"65 gr"', "mass", "65 gr", "g"),
        edit("check bad.toml", HEAD, '"10.5 deg"', "10.5", "loft", "a bare number"),
        edit("check bad.toml", HEAD, '"12 in"', '"12 deg"', "face.bulge_radius", "an angle; allowed: a length"),
        edit("check bad.toml", SWING, '"1.06 s"', '"1.06"', "tempo.backswing"),
        edit("check bad.toml", SWING, '"-8 N*m"', '"-8 N"', "wrists.couple_at_impact", "torque"),
        edit("check bad.toml", SWING, '"45 m/s"', '"45 deg"', "delivery.head_speed", "allowed: a speed"),
        edit("check bad.toml", SCENARIO, '"45.5 in"', "45.5", "club.finished_length", "a bare number"),
        edit("check bad.toml", BENCH, '"250 g"', "250", "frequency.tip_mass", "a bare number"),
        edit("check bad.toml", TORQUE, '"120 ms"', '"120 mm"', "shoulders.rise", "allowed: a time"),
        edit("match bad.toml", CUSTOMER, '"43.2 m/s"', '"43.2 mm"', "figures.head_speed", "allowed: a speed"),
    ),
    "a number that cannot be": (
        edit("check bad.toml", SHAFT, '"46 in"', '"-46 in"', 'raw_length: found "-46 in"', "at least 7.87402 in"),
        edit("check bad.toml", SHAFT, '"46 in"', '"1e400 in"', "raw_length", "too large to be finite"),
        edit("check bad.toml", SHAFT, '"21.3 N*m^2"', '"nan N*m^2"', "stations #1.ei", "does not start with a number"),
        edit("check bad.toml", SHAFT, '"21.3 N*m^2"', '"0 N*m^2"', "stations #1.ei"),
        edit("check bad.toml", SHAFT, '"1.2 %"', '"-1.2 %"', "damping.bend"),
        edit("check bad.toml", SHAFT, '"65 g"', '"95 g"', "mass: found 95 g stated"),
        edit("check bad.toml", SHAFT, 'at = "10 in"', 'at = "4 in"', "stations #3.at", "distances that increase"),
        edit("check bad.toml", SHAFT, '"8.5 mm"', '"85 mm"', "tip_diameter"),
        edit("check bad.toml", STEEL, "poisson = 0.29", "poisson = 0.7", "tube.poisson"),
        edit("check bad.toml", STEEL, 'wall = "0.565 mm"', 'wall = "5 mm"', "found a wall of 5 mm"),
        edit("check bad.toml", HEAD, '"4800 g*cm^2"', '"9800 g*cm^2"', "none larger than the sum of the other two"),
        edit("check bad.toml", HEAD, '"58 deg"', '"158 deg"', "lie"),
        edit("check bad.toml", HEAD, '"32 mm"', '"0 mm"', "insertion"),
        edit("check bad.toml", SWING, '"50 deg"', '"5 deg"', "arms.plane", "allowed: an angle of at least"),
        edit("check bad.toml", SWING, '"45 m/s"', '"95 m/s"', "delivery.head_speed", "at most"),
        edit("check bad.toml", SWING, '"140 deg"', '"70 deg"', "bad.toml"),
        edit("check bad.toml", SCENARIO, '"45.5 in"', '"60 in"', "finished_length", "60"),
        edit("check bad.toml", SCENARIO, '"45.5 in"', '"45.5 in"\ntip_trim = "47 in"', "tip_trim"),
        edit("check bad.toml", SCENARIO, '"45.5 in"', '"45.5 in"\ninsertion = "90 mm"', "insertion"),
        edit("check bad.toml", SCENARIO, '"45.5 in"', '"45.5 in"\nhold_point = "50 in"', "hold_point"),
        edit("bench wick-65-s --setup bad.toml", BENCH, '"250 g"', '"-250 g"', "frequency.tip_mass", "bad.toml"),
        edit("match bad.toml", CUSTOMER, '"1.80 m"', '"180 mm"', "stature", "at least 1000 mm"),
        edit("match bad.toml", CUSTOMER, "shots = 12", "shots = 0", "shots", "at least 1"),
        edit("check bad.toml", LAYUP, "wraps = 2.5", "wraps = -2.5", "wraps"),
    ),
    "a key or a word that is not known": (
        edit("check bad.toml", SHAFT, "raw_length", "raw_lenght", 'did you mean "raw_length"?'),
        edit("check bad.toml", SHAFT, 'measured_from = "tip"', 'measured_from = "top"', "measured_from", '"tip"'),
        edit("check bad.toml", SHAFT, '"driver"', '"drvier"', "kind", "driver"),
        edit("check bad.toml", HEAD, "rearward", "rear", "cg.rear: unknown key"),
        edit("check bad.toml", HEAD, 'about = "cg"', 'about = "heel"', "inertia.about"),
        edit("check bad.toml", SWING, "hinge =", "hing =", 'did you mean "hinge"?'),
        edit("check bad.toml", SWING, "[wrists]", "[wrist]", 'did you mean "wrists"?'),
        edit("check bad.toml", SWING, 'name = "Even tempo"', 'name = "Even tempo"\nhanded = "both"', "handed", "left"),
        edit("check bad.toml", SCENARIO, "question", "qestion", 'did you mean "question"?'),
        edit("rank bad.toml", SCENARIO, 'swing = "even"', 'swing = "even"\nhands = "firm"', "hands", "hold"),
        edit("check bad.toml", BENCH, "tip_mass =", "tipmass =", 'did you mean "tip_mass"?'),
        edit("check bad.toml", BENCH, "[frequency]", "[frequence]", "frequence"),
        edit("check bad.toml", READINGS, 'test = "deflection"', 'test = "deflexion"', "deflection"),
        edit("profile bad.toml", READINGS, "clamp = \"6 in\"", "clmp = \"6 in\"", "clamp"),
        edit("check bad.toml", TORQUE, 'driven_by = "torque"', 'driven_by = "torqe"', "driven_by", "torque"),
        edit("check bad.toml", LAYUP, "wraps = 2.5", "wrap = 2.5", 'did you mean "wraps"?'),
        edit("check bad.toml", SWAP, '"lengthwise 1"', '"lengthwise 9"', "lengthwise 9"),
        edit("match bad.toml", CUSTOMER, "archetype =", "archtype =", 'did you mean "archetype"?'),
        edit("record bad.toml", RECORDING, 'up = "+z"', 'up = "z"', "axes.up", "+z"),
        edit("record bad.toml", RECORDING, 'handedness = "right"', 'handedness = "both"', "handedness"),
    ),
    "something that is missing, or there twice": (
        edit("check bad.toml", SHAFT, 'raw_length = "46 in"\n', "", "raw_length: missing key"),
        edit("check bad.toml", SHAFT, 'letter = "S"', 'letter = "S"\nletter = "R"', "a key or table is there twice"),
        edit("check bad.toml", HEAD, 'mass = "200 g"\n', "", "mass: missing key"),
        edit("check bad.toml", SWING, 'head_speed = "45 m/s"\n', "", "found neither of tempo.downswing"),
        edit("check bad.toml", SWING, '"1.06 s"', '"1.06 s"\ndownswing = "0.3 s"', "found both"),
        edit("check bad.toml", SWING, 'finished_length = "45.5 in"', "", "reference_club", "no length"),
        edit("rank bad.toml", SCENARIO, 'head = "driver"\n', "", "no head"),
        edit("rank bad.toml", SCENARIO, 'swing = "even"\n', "", "swing: missing key"),
        edit("rank bad.toml", SCENARIO, '"marl-60-r",', '"marl-60-r", "marl-60-r",', "two clubs called"),
        edit("match bad.toml", CUSTOMER, 'shaft = "marl-60-r"\n', "", "no shaft"),
        edit("record bad.toml", RECORDING, 'handed = "right"\n', "", "handed: missing key"),
        edit("record bad.toml", RECORDING, 'impact = "3.36 s"', "#", "found neither of impact and [ball]"),
        edit("record bad.toml", RECORDING, 'data = "practice-swing.csv"', 'data = "other.csv"', "other.csv"),
        edit("profile bad.toml", READINGS, 'value = "65.8 mm"\n', "", "value"),
        edit("check bad.toml", LAYUP, 'name = "Cairn 66 S"\n', "", "name: missing key"),
    ),
    "a study that cannot be": (
        slip("study plan tempo_sweap", "no study of that name", 'did you mean "tempo_sweep"?'),
        slip("study run first_fitting", "scenario", "swingbeam rank"),
        slip("rank tempo_sweep", "study", "swingbeam study"),
        slip("study run tempo_sweep --workers 0", "workers"),
        slip("study run tempo_sweep --history all", "all", "coarse"),
        slip("study run tempo_sweep --out result.csv", "result.csv", ".h5"),
        slip("study run tempo_sweep --scheduler nowhere", "nowhere", "tcp://"),
        slip("study check nothing.h5", "nothing.h5", "no such file"),
        slip("study explain nothing.h5", "nothing.h5", "no such file"),
        slip("study plot nothing.h5", "nothing.h5", "no such file"),
        edit("study plan bad.toml", STUDY, '"shaft.ei scale"', '"shaft.ei scael"', "did you mean"),
        edit("study plan bad.toml", STUDY, '"shaft.ei scale" = {', '"swing.tempo.backswng" = {', "backswing"),
        edit("study plan bad.toml", STUDY, "count = 7", "count = 0", "count"),
        edit("study plan bad.toml", STUDY, 'kind = "grid"', 'kind = "gird"', 'did you mean "grid"?'),
        edit("study plan bad.toml", STUDY, '[hold]\ntempo = "head speed"\n', "", "hold", "head speed"),
        edit("study plan bad.toml", STUDY, 'tempo = "head speed"', 'tempo = "sped"', "hold.tempo", "effort"),
        edit("study plan bad.toml", STUDY, "from = 0.7", "from = -0.7", "shaft.ei scale"),
        edit("study plan bad.toml", SENSITIVITY, "rows = 256", "rows = 250", "rows", "256"),
        edit("study plan bad.toml", SENSITIVITY, '"10 mm", "35 mm"', "10, 35", "bare number"),
        edit("study plan bad.toml", SENSITIVITY, '"10 mm", "35 mm"', '"10 g", "35 g"', "a mass; allowed: a length"),
    ),
    "a page that cannot be made": (
        slip("page nothing.h5", "nothing.h5", "no such file"),
        slip("page", "ranking"),
        slip("page nothing.h5 --units imperial", "imperial", "metric"),
        slip("page nothing.h5 --paper a5", "a5", "letter"),
        whole("page bad.toml", SCENARIO, "bad.toml"),
        whole("study check bad.toml", STUDY, "bad.toml"),
        whole("study explain bad.toml", STUDY, "bad.toml"),
        slip("rank first_fitting --repeat 5", "--repeat", "found 5"),
        slip("rank first_fitting --repeat many", "--repeat", "integer"),
        slip("rank even", "no scenario of that name", "a swing has that name"),
        slip("swing even --firmness 0.7", "unit"),
        slip("swing even --firmness '170 %'", "170 %"),
        slip("swing even --tempo 1.1", "--same"),
    ),
    "a file that is no such file": (
        written("check bad.toml", "", "bad.toml: found an empty file"),
        written("check bad.toml", "shaft: 46 in, 65 g", "bad.toml", "not readable as TOML"),
        edit("check bad.toml", SHAFT, "[damping]", "[damping", "not readable as TOML", "line"),
        whole("rank bad.toml", SHAFT, "bad.toml: found a shaft file", "name, question, swing"),
        whole("swing bad.toml", HEAD, "bad.toml: found a head file"),
        whole("match bad.toml", SCENARIO, "bad.toml: found a scenario file", "archetype"),
        whole("layup bad.toml", HEAD, "bad.toml: found a head file"),
        whole("bench bad.toml", SWING, "bad.toml: found a swing file"),
        whole("bench wick-65-s --setup bad.toml", SHAFT, "bad.toml"),
        whole("profile bad.toml", SHAFT, "bad.toml"),
        written("record bad.csv", "a;b\n1;2\n", "bad.csv"),
        written("bench --against bad.csv", "", "bad.csv"),
        written("bench --against bad.csv", "shaft,frequency\nwick-65-s,250\n", "bad.csv"),
        written("bench --against bad.csv", "shaft,frequency (kg)\nwick-65-s,250\n", "kg"),
        written("bench --against bad.csv", "shaft,frequency (cpm)\nwick-65-z,250\n", "wick-65-z"),
        written("bench --against bad.csv", "shaft,frequency (cpm)\nwick-65-s,x\n", "bad.csv"),
    ),
}  # fmt: skip
"""What went wrong → slips."""

ALL = tuple((group, found) for group, slips in GROUPS.items() for found in slips)
