"""The table of what commands print with --json: every key with its type and words, and the JSON Schema made of it.

What the functions beside the texts return is declared here as a `TypedDict`, so the type checker holds code and
declaration together, and commands that answer load none of this. Beside each type stands what the key holds:
`climb_m: Annotated[float, "along the ramp"]`. The unit is the end of the key; where it cannot be, in square brackets in
the words, or in a key `unit` beside it. `PARTS` says which parts a command's answer is put together of.
"""

from __future__ import annotations

from typing import Annotated, Any, TypedDict, get_args

from articulate.errors import ArticulateError
from articulate.measure.conversions import ReadingKind
from articulate.output.data_schema import Keys, OneOf, schema
from articulate.output.refusal import KINDS
from articulate.output.text.wording import OUTCOME_KEYS
from articulate.output.wheels_and_ranges import WHEEL_KEYS
from articulate.spec.errors import nearest
from articulate.spec.quantities import Distribution, Source
from articulate.spec.tyres import Form
from articulate.studies.audit.audit import Verdict
from articulate.studies.design.tyre_ladder import POLICIES
from articulate.types import AXLES, BAR_STATES, SIDES, WHEELS

VERSION = "one more wherever a key goes or holds something else"
Score = Annotated[float | None, "1000 x climb / wheelbase [points]; null where there is none"]
SideKey = Annotated[str, OneOf(SIDES), "front wheel that climbs"]
SidesKey = Annotated[str, OneOf([*SIDES, "both"]), "front wheel that climbed; both: the mean of the two"]
BarsKey = Annotated[str, OneOf(BAR_STATES), "state of the anti-roll bars"]
WheelKey = Annotated[str, OneOf(WHEEL_KEYS), "wheel of the vehicle"]
WheelOrNone = Annotated[str | None, OneOf(WHEEL_KEYS), "wheel of the vehicle; null for none"]
ByWheel = Annotated[dict[str, float | None], Keys(WHEEL_KEYS), "by wheel"]
RampSlope = Annotated[float, "slope of the ramp"]
VehicleName = Annotated[str, "name of the vehicle"]
DrawSeed = Annotated[int, "of the draw"]
VehiclesBehind = Annotated[int, "possible vehicles behind it"]
VehiclesDrawn = Annotated[int, "possible vehicles drawn"]
WheelbaseAtRest = Annotated[float, "wheelbase at rest on level ground"]
Remarks = Annotated[list[str], "sentences on what is worth knowing of the file or the answer"]


class Limits(TypedDict):
    """The two ends of a range."""

    low: Annotated[float | None, "lower end; null where there is none"]
    high: Annotated[float | None, "upper end; null where there is none"]


class IntervalData(Limits):
    """A value and its range, the central 90 % where nothing else is said."""

    value: Annotated[float | None, "nominal value; null where there is none"]


class MedianInterval(Limits):
    """A median and the central 90 %."""

    median: Annotated[float | None, "median; null where there is none"]


class PlaceRange(TypedDict):
    """The places a vehicle may have."""

    low: Annotated[int, "best place"]
    high: Annotated[int, "last place"]


class Versioned(TypedDict):
    """What the data of a command begin with."""

    schema_version: Annotated[int, VERSION]


class VehicleHead(Versioned):
    """What data about one vehicle begin with."""

    vehicle: VehicleName


class RunHead(TypedDict):
    """Of which kind of run data are."""

    bars: BarsKey
    side: SideKey
    ramp_angle_rad: RampSlope


class FileData(VehicleHead):
    """What data about one vehicle file begin with."""

    file: Annotated[str, "vehicle file as it was named"]
    file_sha256: Annotated[str, "SHA-256 of the file's text, hexadecimal"]


class EstimateData(TypedDict):
    """A quantity as it is known."""

    value: Annotated[float, "value, the most likely one"]
    low: Annotated[float, "lower limit; of a normal distribution the 5 % quantile"]
    high: Annotated[float, "upper limit; of a normal distribution the 95 % quantile"]
    distribution: Annotated[str, OneOf(get_args(Distribution)), "how likely is what lies between"]
    source: Annotated[str, OneOf(get_args(Source)), "how it is known"]
    basis: Annotated[str, "the text as written and its line, or what it was assumed from"]
    chance: Annotated[float, "probability [1] that there is any of it at all"]


class InputData(EstimateData):
    """An input of a vehicle file."""

    unit: Annotated[str, "SI unit of value, low and high"]


Inputs = Annotated[dict[str, InputData], "inputs by their keys in the vehicle file"]


class DoubtData(TypedDict):
    """A value that looks unlike what is meant, as a question."""

    place: Annotated[str, "file it stands in"]
    line: Annotated[int | None, "line of the file, from 1"]
    key: Annotated[str, "key it stands at"]
    read: Annotated[str, "value as written"]
    what: Annotated[str, "quantity that it makes"]
    value: Annotated[str, "value of that quantity, with unit"]
    usual: Annotated[str, "usual range of it, with unit"]
    known: Annotated[str, "where the usual range is from"]
    meant: Annotated[str, "what was probably meant"]


Doubts = Annotated[list[DoubtData], "values to look at again"]
OutcomeKey = Annotated[str, OneOf(OUTCOME_KEYS), "how the climb ends"]
OutcomeOrNone = Annotated[str | None, OneOf(OUTCOME_KEYS), "how the climb ends; null where there is none"]


class FileHeld(TypedDict):
    """A vehicle file that the answer rests on."""

    vehicle: VehicleName
    file: Annotated[str, "vehicle file as it was named"]
    file_sha256: Annotated[str, "SHA-256 of the file's text, hexadecimal"]
    settings: Annotated[list[str], "what was set in it, KEY=VALUE"]
    drive: Annotated[str | None, "its drive in words; null where the file does not say"]


class SheetHeld(TypedDict):
    """A run sheet that the answer rests on."""

    file: Annotated[str, "run sheet as it was named"]
    file_sha256: Annotated[str | None, "SHA-256 of the sheet's text, hexadecimal; null for readings typed as options"]


class SourcesData(TypedDict):
    """The files that an answer rests on."""

    files: Annotated[list[FileHeld], "vehicle files"]
    sheets: Annotated[list[SheetHeld], "run sheets"]


class ConditionsOfTest(TypedDict):
    """What the answer holds for."""

    side: SidesKey
    ramp_angle_rad: Annotated[EstimateData, "slope of the ramp"]
    holding_share: Annotated[EstimateData, "share [1] of the slope force that the ramp wheel holds"]
    touch_load_N: Annotated[EstimateData, "load at which a wheel counts as unloaded"]
    friction: Annotated[EstimateData, "coefficient of friction [1] of tyres on ramp and floor"]
    holding_share_by_drive: Annotated[bool, "whether a drive that the file knows says the holding share instead"]
    ramp_length_m: Annotated[float | None, "of the ramp along its slope; null where nothing ends it"]
    also: Annotated[list[str], "what else was chosen, in words"]


class ConditionData(SourcesData):
    """The test and the files that an answer holds for."""

    conditions: ConditionsOfTest


class ModelErrorData(TypedDict):
    """What the model itself leaves out, as standard deviations relative to the score."""

    common: Annotated[float, "common to all runs of a vehicle [1]"]
    run: Annotated[float, "of each run [1]"]
    meaning: Annotated[str, "what the two numbers are"]
    source: Annotated[str, "whether it was given or is assumed"]
    basis: Annotated[str, "what it rests on"]


class DrivenEndData(TypedDict):
    """Where the climb ends with one way of locking."""

    bars: BarsKey
    outcome: OutcomeKey
    score: Score
    spinning_wheels: Annotated[list[WheelKey], "wheels that spin at the end"]
    holding_share: Annotated[float | None, "share [1] of the slope force that the ramp wheel holds"]
    friction_needed: Annotated[float | None, "least coefficient of friction [1] that the way to the lift takes"]
    no_friction_is_enough: Annotated[bool, "whether wheels spin before the lift whatever the friction"]
    score_without_spin: Annotated[Score, "score [points] with grip enough"]


class DriveWayData(TypedDict):
    """One way of locking differentials."""

    name: Annotated[str, "name of it"]
    locked: Annotated[list[str], "what is locked"]
    runs: Annotated[list[DrivenEndData], "one for each state of the bars"]


class DriveData(TypedDict):
    """What the drive lets the vehicle reach."""

    known: Annotated[bool, "whether the file says which wheels drive"]
    driven_wheels: Annotated[str | None, "front, rear or all"]
    front_differential: Annotated[str | None, "kind of differential"]
    rear_differential: Annotated[str | None, "kind of differential"]
    centre: Annotated[str | None, "kind of centre differential"]
    friction: Annotated[float, "coefficient of friction [1] of tyres on ramp and floor"]
    reaches_the_mark_as_filed: Annotated[bool | None, "whether it gets there as filed; null without a drive"]
    reaches_the_mark_with: Annotated[str | None, "the least locking that gets there; null for none"]
    ways: Annotated[list[DriveWayData], "every way of locking that was tried"]


class PullData(TypedDict):
    """What one assumed input does to the roll gradient."""

    key: Annotated[str, "key of the input in the vehicle file"]
    at_limits_rad_per_g: Annotated[Limits, "roll gradient with the input at its lower and at its upper limit"]


class RollGradientData(TypedDict):
    """Roll in a steady turn by lateral acceleration; null where the vehicle rolls over."""

    suspension_friction: Annotated[str, "how friction is taken"]
    connected_rad_per_g: Annotated[IntervalData | None, "bars connected, central 90 %"]
    released_rad_per_g: Annotated[IntervalData | None, "bars released, central 90 %; null where no bar can be released"]
    plausible: Annotated[bool, "whether it is like that of road vehicles, bars connected"]
    plausible_range_rad_per_g: Annotated[Limits, "range that road vehicles have"]
    most_sensitive_assumed_inputs: Annotated[list[PullData], "assumed inputs that move it most, most first"]


class EventData(TypedDict):
    """Something that begins or ends on the way up."""

    climb_m: Annotated[float, "climb along the ramp where it happens"]
    what: Annotated[str, "what happens, in words"]
    kind: Annotated[str, "kind of event"]
    begins: Annotated[bool, "whether it begins there; else it ends"]


class RunData(TypedDict):
    """The climb of the nominal vehicle in one state of the bars."""

    bars: BarsKey
    outcome: OutcomeKey
    outcome_meaning: Annotated[str, "the same in a sentence"]
    score: Score
    score_creeping_back: Annotated[Score, "score [points] where the lift is met creeping back down"]
    score_friction_shaken_out: Annotated[Score, "score [points] without suspension friction left in the state"]
    score_friction_turned_over: Annotated[Score, "score [points] with friction turned over at every corner"]
    climb_m: Annotated[float | None, "climb along the ramp from its toe"]
    mark_height_m: Annotated[float | None, "height of the mark on the ramp over the floor"]
    hub_height_m: Annotated[float | None, "height of the climbing hub over the floor"]
    lifting_wheel: WheelOrNone
    wheel_load_N: Annotated[ByWheel, "load of each wheel at the end"]
    hub_travel_m: Annotated[ByWheel, "bump (positive) or droop of each hub at the end, from ride height"]
    travel_used: Annotated[ByWheel, "share [1] of the bump or, negative, droop gap that is used at the end"]
    roll_rad: Annotated[float | None, "roll of the body at the end by ISO 8855"]
    pitch_rad: Annotated[float | None, "pitch of the body at the end by ISO 8855: negative with the nose up"]
    frame_twist_rad: Annotated[float | None, "twist of the frame between the axles"]
    tipping_margin_m: Annotated[float | None, "level distance of the centre of gravity from the nearest tipping line"]
    rocking_margin_m: Annotated[float | None, "the same on the three wheels that carry"]
    tipping_angle_rad: Annotated[float | None, "sideways angle in hand"]
    limited_by: Annotated[str, "what the end of the climb rests on, in words"]
    jumps: Annotated[int, "times the vehicle jumps to another state on the way"]
    holding_share: Annotated[float | None, "share [1] of the slope force that the ramp wheel holds"]
    spinning_wheels: Annotated[list[WheelKey], "wheels that spin at the end"]
    friction_needed: Annotated[float | None, "least coefficient of friction [1] that the way to the lift takes"]
    no_friction_is_enough: Annotated[bool, "whether wheels spin before the lift whatever the friction"]
    outcome_without_spin: Annotated[OutcomeKey, "how it ends with grip enough"]
    score_without_spin: Annotated[Score, "score [points] with grip enough"]
    lifting_wheel_without_spin: WheelOrNone
    events: Annotated[list[EventData], "what is met on the way up, in order"]


class PredictionData(FileData):
    """The climb of the nominal vehicle, bars connected and released."""

    side: SideKey
    ramp_angle_rad: RampSlope
    wheelbase_m: WheelbaseAtRest
    rest_load_N: Annotated[ByWheel, "wheel loads at rest on level ground, bars connected"]
    connected: RunData
    released: Annotated[RunData | None, "null where no bar can be released"]
    gain: Annotated[Score, "score released less connected [points]"]
    drive: Annotated[DriveData | None, "what the drive lets it reach"]
    roll_gradient: Annotated[RollGradientData | None, "roll in a steady turn"]
    warnings: Annotated[list[str], "sentences on what may surprise"]
    asked_about: Doubts
    inputs: Inputs
    remarks: Remarks


class WidthData(TypedDict):
    """What makes a band wide."""

    keys: Annotated[list[str], "inputs that go together"]
    share_of_variance: Annotated[float, "their share [1] of the variance of the score"]
    assumed: Annotated[bool, "whether they are assumed"]


class SpreadData(MedianInterval):
    """A median with the central 90 % of the possible vehicles; null beyond the ramp's end."""

    high_is_beyond_the_ramp: Annotated[bool, "whether the upper end is more than the ramp has"]
    median_is_beyond_the_ramp: Annotated[bool, "whether the median is more than the ramp has"]
    median_standard_error: Annotated[float | None, "standard error of the median by the size of the sample"]
    limit_standard_error: Annotated[float | None, "standard error of the two ends"]
    points: VehiclesBehind


class QuickRunData(TypedDict):
    """The band of one state of the bars."""

    bars: BarsKey
    score: Annotated[SpreadData, "score [points]"]
    mark_height_m: Annotated[SpreadData, "height of the mark over the floor"]
    lifts_first: Annotated[ByWheel, "share [1] in which this wheel lifts, of the possible vehicles in which one does"]
    failed: Annotated[int, "climbs that found no answer"]
    width_by_input: Annotated[list[WidthData], "the five inputs that make it widest"]
    width_by_model_error: Annotated[float, "share [1] of the variance that is the model's own error"]


class QuickBandData(TypedDict):
    """The bands of both scores from a small sample."""

    points: VehiclesDrawn
    seed: DrawSeed
    method: Annotated[str, "how they were drawn"]
    model_error: ModelErrorData
    runs: Annotated[list[QuickRunData], "one for each state of the bars"]
    gain: Annotated[SpreadData | None, "score released less connected [points]"]


class AnswerData(TypedDict):
    """What stands beside the nominal prediction."""

    band: QuickBandData
    inputs_in_all: Annotated[int, "inputs of the vehicle"]
    inputs_assumed: Annotated[int, "those that are assumed"]


class InputShareData(TypedDict):
    """What one input, or several tied ones, have of a variance."""

    keys: Annotated[list[str], "keys of the vehicle file or of the test"]
    first_order: Annotated[float | None, "share [1] by itself"]
    first_order_standard_error: Annotated[float | None, "its standard error [1]"]
    total: Annotated[float | None, "share [1] with all it does together with others"]
    total_standard_error: Annotated[float | None, "its standard error [1]"]


class LeftOutShareData(TypedDict):
    """Shares of a variance that are the model's own error."""

    common: Annotated[float, "error common to all runs of a vehicle, share [1]"]
    run: Annotated[float, "error of each run, share [1]"]


class VarianceSharesData(TypedDict):
    """A variance taken apart by inputs."""

    method: Annotated[str, "how it was taken apart"]
    runs: Annotated[int, "climbs behind it"]
    points: VehiclesBehind
    variance: Annotated[float, "variance of the score [points squared]"]
    unresolved: Annotated[float | None, "share [1] that no input explains"]
    model_error: LeftOutShareData
    floor: Annotated[float | None, "share [1] below which nothing can be told from none"]
    inputs: Annotated[list[InputShareData], "shares of the inputs, largest first"]


class TieData(TypedDict):
    """Two inputs that go together."""

    keys: Annotated[list[str], "the two keys"]
    correlation: Annotated[float, "correlation of their normal scores [1], as --tie takes it"]


class PopulationData(FileData):
    """The possible vehicles that an answer rests on."""

    uncertain_inputs: Annotated[list[str], "keys of all inputs that are not exact"]
    ties: Annotated[list[TieData], "inputs that go together"]


class CaseBandData(TypedDict):
    """The band of one state of the bars."""

    side: SideKey
    bars: BarsKey
    score: Annotated[SpreadData, "score [points]"]
    outcomes: Annotated[dict[str, int], "possible vehicles by how their climb ends"]
    failed: Annotated[int, "climbs that found no answer"]
    score_without_spin: Annotated[SpreadData | None, "score [points] with grip enough"]
    spin_first: Annotated[ByWheel, "share [1] in which this wheel spins, of those that end by wheelspin; null if none"]
    lifts_first: Annotated[ByWheel, "share [1] in which this wheel lifts, of the possible vehicles in which one does"]
    limits_met: Annotated[
        dict[str, ByWheel], "share [1] in which a limit is met at the end, of those that end, by limit and wheel"
    ]
    variance_shares: VarianceSharesData


class BandData(PopulationData):
    """Both scores with their 90 % bands, and what makes them wide."""

    points: VehiclesDrawn
    seed: DrawSeed
    model_error: ModelErrorData
    runs: Annotated[list[CaseBandData], "one for each state of the bars"]
    gain: Annotated[SpreadData | None, "score released less connected [points]"]
    gain_variance_shares: Annotated[VarianceSharesData | None, "what makes the gain uncertain"]
    not_built: Annotated[dict[str, int], "drawn inputs that make no vehicle: how often, by reason"]


class BudgetRowData(TypedDict):
    """One input of a measurement by JCGM 100."""

    quantity: Annotated[str, "name of the input"]
    unit: Annotated[str, "SI unit of value and standard uncertainty"]
    value: Annotated[float, "estimate"]
    standard_uncertainty: Annotated[float, "of the estimate"]
    distribution: Annotated[str, "its shape"]
    degrees_of_freedom: Annotated[float | None, "of the standard uncertainty [1]; null for infinitely many"]
    sensitivity: Annotated[float, "change of the result for one unit of it"]
    contribution: Annotated[float, "standard uncertainty of the result from it, in the result's unit"]
    share: Annotated[float, "share [1] of the result's variance"]
    source: Annotated[str, OneOf(get_args(Source)), "how it is known"]
    basis: Annotated[str, "the text as written and its line, or what it was assumed from"]


class MonteCarloData(TypedDict):
    """The check by Monte Carlo of JCGM 101."""

    mean: Annotated[float | None, "mean of the draws"]
    standard_uncertainty: Annotated[float | None, "their standard deviation"]
    low: Annotated[float, "lower end of the interval"]
    high: Annotated[float, "upper end of the interval"]
    standard_error_of_ends: Annotated[float, "of the two ends by the number of draws"]
    draws: Annotated[int, "number of draws"]
    seed: Annotated[int, "of the draws"]


class UncertainData(TypedDict):
    """A measured value with its uncertainty by JCGM 100."""

    value: Annotated[float, "result of the measurement"]
    standard_uncertainty: Annotated[float, "of the result"]
    coverage: Annotated[float, "probability [1] that the interval has"]
    low: Annotated[float, "lower end of the interval"]
    high: Annotated[float, "upper end of the interval"]
    interval_from: Annotated[str, OneOf(["JCGM 100", "JCGM 101"]), "which method the interval is from"]
    degrees_of_freedom: Annotated[float | None, "effective [1]; null for infinitely many"]
    coverage_factor: Annotated[float, "expanded over standard uncertainty [1]"]
    expanded_uncertainty: Annotated[float, "at the coverage"]
    monte_carlo: MonteCarloData
    tolerance: Annotated[float, "largest difference of the two methods' ends that lets JCGM 100 stand"]
    monte_carlo_validates: Annotated[bool, "whether they differ by no more"]
    budget: Annotated[list[BudgetRowData], "inputs, with what each contributes"]


class SheetData(TypedDict):
    """What a run sheet gives and what was assumed; null where there is nothing of it."""

    vehicle: VehicleName
    title: Annotated[str, "title of the sheet"]
    date: Annotated[str, "day of the test, YYYY-MM-DD"]
    file: Annotated[str, "run sheet as it was named"]
    file_sha256: Annotated[str, "SHA-256 of the sheet's text, hexadecimal"]
    wheelbase_m: Annotated[EstimateData | None, "wheelbase"]
    ramp_angle_rad: Annotated[EstimateData | None, "slope of the ramp"]
    tape_limit_m: Annotated[EstimateData | None, "how far off the tape may be"]
    touch_load_N: Annotated[EstimateData | None, "load left under the wheel that lifts"]
    roll_back_m: Annotated[EstimateData | None, "how far the vehicle rolled back before the mark was made"]
    marking_m: Annotated[EstimateData | None, "how far off the mark may be"]
    repeatability_m: Annotated[EstimateData | None, "standard deviation of a climb made anew"]
    radius_on_flat_m: Annotated[EstimateData | None, "height of the hub over the floor"]
    radius_on_ramp_m: Annotated[EstimateData | None, "distance of the hub from the ramp"]
    assumed: Annotated[list[str], "keys that the sheet leaves out"]


class ScoredRunData(TypedDict):
    """One run."""

    run: Annotated[int, "number of the run on the sheet"]
    side: SideKey
    bars: BarsKey
    reading: Annotated[str, OneOf([kind.value for kind in ReadingKind]), "how the mark was read"]
    readings_m: Annotated[list[float], "readings of the mark"]
    lifted: Annotated[str | None, OneOf(WHEELS), "wheel that lifted, as the sheet has it"]
    climb_m: Annotated[UncertainData, "climb along the ramp"]
    score: Annotated[UncertainData, "score [points]"]


class ScoredCaseData(TypedDict):
    """All runs of one side and state of the bars."""

    side: SidesKey
    bars: BarsKey
    runs: Annotated[list[int], "numbers of the runs"]
    climbs: Annotated[int, "climbs made anew among them"]
    climb_m: Annotated[UncertainData, "climb along the ramp"]
    score: Annotated[UncertainData, "score [points]"]
    score_at_zero_touch_load: Annotated[UncertainData, "score [points] carried to no load under the wheel"]


class GainData(TypedDict):
    """What releasing the bars gains."""

    side: SidesKey
    gain: Annotated[UncertainData, "score released less connected [points]"]


class SideDifferenceData(TypedDict):
    """What the sides differ by."""

    bars: BarsKey
    significant: Annotated[bool, "whether it is more than the readings leave open"]
    difference: Annotated[UncertainData, "score left less right [points]"]


class RepeatabilityData(TypedDict):
    """Standard deviation of a climb made anew, from the runs."""

    climb_m: Annotated[float, "of the climb"]
    score: Annotated[float, "of the score [points]"]
    degrees_of_freedom: Annotated[int, "behind it"]


class ScoresData(SourcesData):
    """Scores of a run sheet with their uncertainties."""

    schema_version: Annotated[int, VERSION]
    sheet: SheetData
    seed: Annotated[int, "of the Monte Carlo check"]
    runs: Annotated[list[ScoredRunData], "every run"]
    cases: Annotated[list[ScoredCaseData], "runs put together by side and state of the bars"]
    gains: Annotated[list[GainData], "by side"]
    left_less_right: Annotated[list[SideDifferenceData], "by state of the bars"]
    repeatability: Annotated[RepeatabilityData | None, "null where no climb was made anew"]
    remarks: Remarks
    asked_about: Doubts


class OutlookData(MedianInterval):
    """What a test is expected to read, central 90 %."""

    noise_share_of_variance: Annotated[float | None, "share [1] of the variance that is the reading's own"]


class LearnedScoreData(TypedDict):
    """What is expected of one run."""

    side: SideKey
    bars: BarsKey
    measured: Annotated[float | None, "score as measured [points]; null where it was not"]
    before: Annotated[OutlookData | None, "score [points] before the readings"]
    after: Annotated[OutlookData | None, "score [points] after them"]


class LearnedGainData(TypedDict):
    """What is expected of the gain."""

    before: Annotated[OutlookData | None, "score released less connected [points] before the readings"]
    after: Annotated[OutlookData | None, "the same after them [points]"]


class ReadingData(TypedDict):
    """One reading, and how far it is from what was predicted."""

    what: Annotated[str, "what was read"]
    unit: Annotated[str, "SI unit of the numbers"]
    value: Annotated[float, "value read"]
    standard_uncertainty: Annotated[float, "of the reading"]
    predicted: Annotated[float | None, "predicted before"]
    predicted_standard_deviation: Annotated[float | None, "of that"]
    residual_standard_deviations: Annotated[
        float | None, "read less what is expected after learning, in standard deviations [1]"
    ]


class SeenData(TypedDict):
    """Something that was seen."""

    what: Annotated[str, "what was seen"]
    chance_before: Annotated[float | None, "probability [1] that was given to it before"]


class LearnedInputData(MedianInterval):
    """What is known of one input after the readings, central 90 %."""

    key: Annotated[str, "key of the vehicle file or of the test"]
    unit: Annotated[str, "SI unit of the numbers"]
    before: Annotated[MedianInterval, "before the readings, central 90 %"]
    mean: Annotated[float, "mean after them"]
    standard_deviation: Annotated[float, "after them"]
    shift_in_standard_deviations: Annotated[float, "of the mean, by the standard deviation before [1]"]
    standard_deviation_over_before: Annotated[float, "standard deviation after over before [1]"]
    share_of_remaining_input_variance: Annotated[float, "share [1] of what is left open of the score"]


class NextRunData(TypedDict):
    """The run that is next."""

    side: SideKey
    bars: BarsKey


class SavedScoreData(MedianInterval):
    """What the saved file says of one score by itself, central 90 %."""

    side: SideKey
    bars: BarsKey


class SavedData(TypedDict):
    """The vehicle file that was written."""

    changed: Annotated[list[str], "keys that were changed"]
    refused: Annotated[list[str], "keys that could not be, and why"]
    of_the_test: Annotated[list[str], "what was learned of the test, which is in no vehicle file"]
    scores_from_file_alone: Annotated[list[SavedScoreData], "scores [points]"]


class LearningData(PopulationData):
    """What readings say of the vehicle and of the runs to come."""

    points: Annotated[int, "possible vehicles climbed"]
    prior_points: Annotated[int, "possible vehicles drawn at first"]
    effective_points: Annotated[float, "effective number of vehicles behind the answer [1]"]
    rounds: Annotated[int, "rounds of drawing"]
    trusted: Annotated[bool, "whether enough of them are left to trust it"]
    explained: Annotated[bool, "whether the readings can be explained by the file"]
    chance_of_readings_as_far: Annotated[float, "probability [1] of readings as far off"]
    model_error: ModelErrorData
    readings: Annotated[list[ReadingData], "what was read"]
    seen: Annotated[list[SeenData], "what was seen"]
    scores: Annotated[list[LearnedScoreData], "one for each side and state of the bars"]
    gain: Annotated[LearnedGainData | None, "null where no bar can be released"]
    inputs: Annotated[list[LearnedInputData], "inputs that were learned of, most first"]
    next_run: NextRunData
    warnings: Annotated[list[str], "sentences on what may surprise"]
    saved: Annotated[SavedData | None, "null where nothing was saved"]
    not_built: Annotated[dict[str, int], "drawn inputs that make no vehicle: how often, by reason"]


class DeviationData(TypedDict):
    """A score, or a difference of scores, as read and as expected of the vehicle file."""

    score: Annotated[float, "as read [points]"]
    reading_standard_deviation: Annotated[float, "of the reading [points]"]
    expected: Annotated[float, "by the vehicle file [points]"]
    expected_standard_deviation: Annotated[float, "of what is expected [points]"]
    deviations: Annotated[float, "read less expected, in standard deviations of both together [1]"]


class RunDeviationData(DeviationData):
    """One score of the sheet."""

    run: Annotated[str, "side and state of the bars"]


class ContrastData(DeviationData):
    """A difference of scores, or one run."""

    what: Annotated[str, "what it is"]


class LookData(TypedDict):
    """What a look would show if this cause were at work."""

    key: Annotated[str, "name of the observation"]
    what: Annotated[str, "the same in words"]
    quantity: Annotated[str, "kind of quantity"]
    unit: Annotated[str, "SI unit of the four numbers"]
    expected: Annotated[float, "with this cause"]
    standard_deviation: Annotated[float, "of that"]
    expected_otherwise: Annotated[float, "without it"]
    standard_deviation_otherwise: Annotated[float, "of that"]


class SizeData(MedianInterval):
    """How large a cause has to be for the readings, in SI."""

    display_unit: Annotated[str, "unit that people read it in"]
    display_unit_in_si: Annotated[float, "one of it in SI"]
    what: Annotated[str, "what has that size"]


class MoveData(TypedDict):
    """What a cause does to one score."""

    side: SideKey
    bars: BarsKey
    score: Annotated[float, "change of the score [points]"]


class CauseData(TypedDict):
    """One cause that may be at work."""

    cause: Annotated[str, "name of it"]
    sentence: Annotated[str, "the same in a sentence"]
    correct: Annotated[str, "what to put right if it is so"]
    probability: Annotated[float, "probability [1] after the readings and the answers"]
    rank: Annotated[int, "place by probability, from 1"]
    cannot_be_told_from: Annotated[list[str], "causes that the readings leave as likely"]
    place: Annotated[str, "likeliest place of it"]
    place_probability: Annotated[float, "probability [1] of that place if it is at work"]
    size_needed: Annotated[SizeData | None, "how large it has to be; null where it has no size"]
    moves_scores_by: Annotated[list[MoveData], "what it does to each score"]
    found_by_look: Annotated[list[str], "looks that would settle it"]
    would_look: Annotated[list[LookData], "what tells it from the others"]


class CheckData(TypedDict):
    """A check that may be made next."""

    name: Annotated[str, "name of it"]
    instruction: Annotated[str, "what to do"]
    caution: Annotated[str, "what to mind"]
    duration_s: Annotated[float, "how long it takes"]
    gain_bit: Annotated[float, "information it is expected to give"]
    gain_bit_per_minute: Annotated[float, "the same for each minute [bit/min]"]
    likeliest_after: Annotated[float, "expected probability [1] of the likeliest cause afterwards"]
    answers: Annotated[list[str], "names that --answer takes for what it finds"]


class PriorData(TypedDict):
    """What is taken as likely before any reading."""

    nothing_is_wrong: Annotated[float, "probability [1]"]
    none_of_these: Annotated[float, "probability [1] of a cause that is not listed"]


class AuditData(FileData, ConditionData):
    """Whether the readings are what the vehicle file leads one to expect, and what to check first."""

    verdict: Annotated[str, OneOf([one.value for one in Verdict]), "what the readings are to the file"]
    sentence: Annotated[str, "the same in a sentence"]
    likeliest: Annotated[str, "the likeliest cause in a sentence"]
    correct: Annotated[str, "what to put right, once it is settled; else empty"]
    second_cause: Annotated[bool, "whether one cause alone does not explain the readings"]
    still_at_mark: Annotated[bool, "whether the vehicle still stands at its mark"]
    p_value: Annotated[float, "probability [1] of readings as far off, if nothing is wrong"]
    p_value_alarm: Annotated[float, "probability [1] below which the readings do not agree"]
    problem: Annotated[bool, "whether they do not agree"]
    scores: Annotated[list[RunDeviationData], "the scores of the sheet"]
    runs: Annotated[list[ContrastData], "single runs"]
    contrasts: Annotated[list[ContrastData], "differences of scores"]
    also_judged: Annotated[list[str], "observations that were used beside the scores"]
    answers: Annotated[list[str], "answers of checks made before"]
    causes: Annotated[list[CauseData], "likeliest first"]
    checks: Annotated[list[CheckData], "best first"]
    model_error: ModelErrorData
    prior: PriorData
    climbs_left_out: Annotated[int, "climbs without a lift"]
    asked_about: Doubts
    remarks: Remarks
    seed: DrawSeed


class ChangeData(TypedDict):
    """One quantity that differs."""

    quantity: Annotated[str, "name of the quantity"]
    axle: Annotated[str | None, OneOf(AXLES), "null where it is of no axle alone"]
    unit: Annotated[str, "SI unit of before and after; of what is no couple where one of them is"]
    before: Annotated[float | None, "of the first vehicle"]
    after: Annotated[float | None, "of the second vehicle"]
    bar_as_couple: Annotated[list[bool], "whether before and after are couples of a solid axle, by rad in place of m"]


class EventChangeData(TypedDict):
    """What happens otherwise on the way up."""

    what: Annotated[str, "what happens, in words"]
    climb_before_m: Annotated[float | None, "climb where it happens to the first vehicle; null where it does not"]
    climb_after_m: Annotated[float | None, "climb where it happens to the second; null where it does not"]


class ShareData(TypedDict):
    """What one group of quantities has of the difference."""

    group: Annotated[str, "name of the group"]
    points: Annotated[float, "its share of the difference [points]; the shares of all groups add up to it"]
    alone: Annotated[float, "what it does to the first vehicle by itself [points]"]
    at_last: Annotated[float, "what it does when all else is changed already [points]"]
    points_over_holding_share: Annotated[Limits, "least and most [points] over all holding shares; null if not asked"]
    climb_change_alone_m: Annotated[float, "change of the climb by itself"]
    lifting_wheels_alone: Annotated[list[WheelOrNone], "before and after, by itself"]
    changes: Annotated[list[ChangeData], "quantities of the group that differ"]
    events: Annotated[list[EventChangeData], "what happens otherwise, by itself"]
    sentence: Annotated[str, "the same in words"]


class SplitData(TypedDict):
    """The difference in one state of the bars."""

    bars: BarsKey
    scores: Annotated[list[float], "of the first and the second vehicle [points]"]
    climb_m: Annotated[list[float], "of the first and the second vehicle, along the ramp"]
    lifting_wheels: Annotated[list[WheelOrNone], "of the first and the second vehicle"]
    difference: Annotated[float, "second score less first [points]"]
    remainder: Annotated[float, "what the shares do not add up to [points]; rounding"]
    mixtures: Annotated[int, "mixed vehicles climbed"]
    mixtures_without_lift: Annotated[dict[str, int], "those that end otherwise: how many, by outcome"]
    shares: Annotated[list[ShareData], "largest first"]
    events: Annotated[list[EventChangeData], "what happens otherwise on the way up"]


class ArchFirstData(TypedDict):
    """Where the tyre's arch comes before the stop, so that more bump travel does nothing."""

    arch_first: Annotated[dict[str, list[str]], "sentences by vehicle; vehicles without are left out"]


class DifferenceData(Versioned):
    """The difference of two scores, split over what differs."""

    first: Annotated[str, "name of the first vehicle"]
    second: Annotated[str, "name of the second vehicle"]
    side: SideKey
    ramp_angle_rad: RampSlope
    connected: SplitData
    released: Annotated[SplitData | None, "null where no bar can be released"]


class StepData(TypedDict):
    """What one step of one input is worth."""

    name: Annotated[str, "name of the input"]
    quantity: Annotated[str, "quantity that is changed"]
    unit: Annotated[str, "SI unit of present and of a step that is not relative"]
    step_size: Annotated[float, "size of the step; a factor where it is relative, of frame_compliance on the stiffness"]
    step_relative: Annotated[bool, "whether the step is a factor"]
    step: Annotated[str, "the step in words"]
    present: Annotated[float | None, "value it has"]
    points_more: Annotated[float | None, "score less present score for a step more [points]"]
    points_less: Annotated[float | None, "the same for a step less [points]"]
    points_at_quarters: Annotated[list[float | None], "the same [points] at the quarters of the step"]
    kinked: Annotated[bool, "whether a step more and one less are not worth alike"]
    worth_nothing: Annotated[bool, "whether neither changes the score"]
    outcome_more: Annotated[OutcomeOrNone, "how the climb ends a step more; null where no vehicle can be so"]
    outcome_less: Annotated[OutcomeOrNone, "how the climb ends a step less; null where no vehicle can be so"]
    remark: Annotated[str, "what is worth knowing of it"]


class ClimbsHead(VehicleHead):
    """What data about climbs of one nominal vehicle begin with."""

    side: SideKey
    ramp_angle_rad: RampSlope


class WorthTableData(TypedDict):
    """What steps are worth in one state of the bars."""

    bars: BarsKey
    score: Score
    lifting_wheel: WheelOrNone
    steps_without_score: Annotated[int, "steps that leave no score"]
    quarters_of_step: Annotated[list[float], "parts [1] of the step in points_at_quarters"]
    inputs: Annotated[list[StepData], "one for each input that is stepped"]


class WorthData(ClimbsHead):
    """What one step of each input is worth."""

    connected: WorthTableData
    released: Annotated[WorthTableData | None, "null where no bar can be released"]


class MomentData(TypedDict):
    """Something that happens on the way up."""

    climb_m: Annotated[float, "climb along the ramp where it happens"]
    score: Annotated[float, "of a climb that ended there [points]"]
    what: Annotated[str, "what happens, in words"]
    kind: Annotated[str, "kind of event"]
    begins: Annotated[bool, "whether it begins there; else it ends"]
    load_rate_before_N_per_m: Annotated[float | None, "change of the lifting wheel's load by climb just before"]
    load_rate_after_N_per_m: Annotated[float | None, "the same just after; null where it does not bear on it"]
    sentence: Annotated[str, "the same in words"]


class RemovalData(TypedDict):
    """The climb without one of the limits that were met."""

    what: Annotated[str, "the limit that is taken away"]
    outcome: OutcomeKey
    score: Score
    gain: Annotated[float | None, "score less that of the climb as it is [points]"]
    gain_per_m: Annotated[float | None, "points for each metre more of it; null where it is no travel"]
    lifting_wheel: WheelOrNone


class RunStoryData(TypedDict):
    """The climb in one state of the bars, told."""

    bars: BarsKey
    outcome: OutcomeKey
    score: Score
    climb_m: Annotated[float | None, "climb along the ramp at the end"]
    lifting_wheel: WheelOrNone
    wheel_load_N: Annotated[ByWheel, "wheel loads at the end"]
    moments: Annotated[list[MomentData], "what is met, in order"]
    without: Annotated[list[RemovalData], "what taking away each limit would do"]
    decided: Annotated[str | None, "the limit that decides; null for none"]
    sentence: Annotated[str, "the same in words"]


class TimelineData(ClimbsHead):
    """What is met on the way up, and what decides."""

    connected: RunStoryData
    released: Annotated[RunStoryData | None, "null where no bar can be released"]


class LeverValueData(TypedDict):
    """What one input is set to."""

    key: Annotated[str, "key of the vehicle file"]
    unit: Annotated[str, "SI unit of the value"]
    value: Annotated[float, "value it is set to"]


class SettledData(TypedDict):
    """One choice of all inputs that may change, climbed afresh."""

    values: Annotated[list[LeverValueData], "one for each input"]
    score: Score
    outcome: OutcomeKey
    cost: Annotated[float, "cost of the changes, in the unit that --change gives costs in [1]"]
    decided_by: Annotated[str | None, "the limit that decides the climb; null for none"]


class AloneData(TypedDict):
    """How far one input gets by itself."""

    reaches: Annotated[bool, "whether it reaches the score"]
    value: Annotated[float | None, "value that does"]
    score: Annotated[Score, "score there [points]"]
    score_leaps: Annotated[bool, "whether the score leaps over the target there"]
    best_value: Annotated[float | None, "value with the highest score"]
    best_score: Annotated[Score, "score there [points]"]
    what_ends_it: Annotated[str | None, "what keeps it from more; null where nothing is known"]
    unit: Annotated[str, "SI unit of value and best_value"]


class LeverData(TypedDict):
    """One input that may change."""

    key: Annotated[str, "key of the vehicle file"]
    unit: Annotated[str, "SI unit of present, limits, and below the line of cost"]
    present: Annotated[float, "value it has"]
    limits: Annotated[Limits, "how far it may go"]
    cost_per_unit: Annotated[float, "cost of each SI unit of change"]
    alone: AloneData


class TargetData(VehicleHead, RunHead):
    """How a score is reached, or how near one gets."""

    target_score: Annotated[float, "score asked for [points]"]
    present_score: Annotated[Score, "score as the vehicle is [points]"]
    present_outcome: Annotated[OutcomeKey, "how the climb ends as it is"]
    already_reached: Annotated[bool, "whether it scores as much as it is"]
    reached: Annotated[bool, "whether the changes reach it"]
    statement: Annotated[str, "the answer in a sentence"]
    answer: Annotated[SettledData | None, "the cheapest choice that reaches it"]
    best: Annotated[SettledData | None, "the most the changes can do, where it is not reached"]
    what_stops_it: Annotated[list[str], "what keeps it from being reached"]
    chance: Annotated[float | None, "probability [1] that the changed vehicle scores as much; null if not reached"]
    model_error: ModelErrorData
    samples: Annotated[int, "possible vehicles behind the chance"]
    samples_without_score: Annotated[int, "those of them without a score"]
    climbs: Annotated[int, "climbs made"]
    levers: Annotated[list[LeverData], "inputs that may change"]


class BlockSpreadData(MedianInterval):
    """A median with the central 90 % of the possible vehicles."""

    points: VehiclesBehind


class BlockRunData(TypedDict):
    """The twist in one state of the bars."""

    bars: BarsKey
    outcome: Annotated[OutcomeKey, "how it ends; ramp_ends where the blocks are as high as they get and none lifts"]
    block_height_m: Annotated[float | None, "height of each block where a wheel lifts"]
    block_height_friction_shaken_out_m: Annotated[float | None, "the same without friction left in the suspension"]
    block_height_range_m: Annotated[BlockSpreadData, "height of each block over the possible vehicles"]
    lifting_wheel: WheelOrNone
    wheel_load_N: Annotated[ByWheel, "wheel loads at the end"]
    hub_travel_m: Annotated[ByWheel, "bump (positive) or droop of each hub, from ride height"]
    roll_rad: Annotated[float | None, "roll of the body at the end by ISO 8855"]
    pitch_rad: Annotated[float | None, "pitch of the body at the end by ISO 8855: negative with the nose up"]
    rocking_margin_m: Annotated[float | None, "distance of the centre of gravity from the line it would rock over"]
    one_wheel_lift_m: Annotated[float | None, "lift under the front wheel alone with which a wheel unloads"]
    one_wheel_lifting_wheel: WheelOrNone
    ramp_score: Annotated[Score, "score [points] on the ramp"]
    score_by_height_alone: Annotated[Score, "score [points] that the height of the blocks alone would say"]
    score_per_m_of_block: Annotated[BlockSpreadData, "score that a higher block stands for [points/m]"]


class BlocksData(FileData):
    """Two opposite corners on blocks."""

    side: SideKey
    ramp_angle_rad: Annotated[float, "slope of the ramp that the score is for"]
    wheelbase_m: WheelbaseAtRest
    points: VehiclesDrawn
    model_error: ModelErrorData
    seed: DrawSeed
    connected: Annotated[BlockRunData | None, "bars connected"]
    released: Annotated[BlockRunData | None, "null where no bar can be released"]
    caution: Annotated[str, "what to mind when it is done"]


class EntryData(TypedDict):
    """One vehicle of the comparison."""

    place: Annotated[int, "place by score, from 1"]
    name: VehicleName
    measured: Annotated[bool, "whether its score was measured"]
    measured_at_touch_load_N: Annotated[float | None, "touch load it was measured at"]
    wheelbase_m: Annotated[float | None, "wheelbase; null where it is not known"]
    score: Annotated[IntervalData, "score on equal terms [points]"]
    score_reached_at_ramp_end: Annotated[Score, "score [points] of a climb to the ramp's end, if it outlasts it"]
    score_as_it_is: Annotated[Score, "score before it was put on equal terms [points]"]
    outcome: Annotated[OutcomeOrNone, "how the climb of the nominal vehicle ends; null of a measured one"]
    lifting_wheel: WheelOrNone
    can_release: Annotated[bool, "whether it has a bar that can be released"]
    samples_that_outlast_the_ramp: Annotated[int, "possible vehicles that score more than there is ramp for"]
    samples_without_score: Annotated[int, "possible vehicles without a score"]
    place_range: Annotated[PlaceRange, "places it has in 90 % of the cases"]
    lift_height_m: Annotated[IntervalData, "rise of the climbing wheel"]
    axle_twist_rad: Annotated[IntervalData, "turn of the axles against each other"]
    travel_sum_m: Annotated[IntervalData, "travel used by all wheels"]
    place_by_lift_height: Annotated[int | None, "place by that; null where it is not known"]
    place_by_axle_twist: Annotated[int | None, "place by that; null where it is not known"]


class ComparisonData(Versioned, RunHead):
    """Vehicles ranked, on equal terms."""

    touch_load_N: Annotated[float, "load at which a wheel counts as unloaded"]
    equal_terms: Annotated[list[str], "what was made equal, in words"]
    samples: Annotated[int, "possible vehicles of each file"]
    model_error: ModelErrorData
    vehicles: Annotated[list[EntryData], "best first"]
    beats: Annotated[list[list[float | None]], "probability [1] that the vehicle of a row beats that of a column"]


class RampEndData(TypedDict):
    """The predicted end of the climb on one of the two ramps."""

    ramp_angle_rad: RampSlope
    score: Annotated[IntervalData, "predicted score [points], central 90 % with the model's own error"]
    rise_m: Annotated[float | None, "rise of the climbing hub"]
    rise_without_holding_m: Annotated[float | None, "the same with no slope force on the ramp wheel"]
    pitch_rad: Annotated[float | None, "pitch of the body by ISO 8855: negative with the nose up"]


class CarriedData(TypedDict):
    """One state of the bars, from the first ramp to the second."""

    bars: BarsKey
    first: Annotated[RampEndData, "on the ramp it is carried from"]
    second: Annotated[RampEndData, "on the ramp it is carried to"]
    ratio: Annotated[IntervalData, "second score over first [1], central 90 %"]
    sine_ratio: Annotated[float | None, "ratio of the sines of the slopes [1], first over second"]
    score_at_same_mark: Annotated[Score, "second score [points] if the mark rose to the same height"]
    score_at_same_rise: Annotated[Score, "second score [points] if the hub rose as much"]
    measured: Annotated[IntervalData, "score from the day on the first ramp [points]; null where none was given"]
    carried: Annotated[IntervalData, "the same on the second ramp [points]"]
    samples: Annotated[int, "possible vehicles behind the ranges"]
    samples_without_score: Annotated[int, "those of them that have no score on one of the ramps"]
    wheels_spin: Annotated[bool, "whether wheels spin before one lifts, on either ramp"]
    why: Annotated[str, "why the ratio is not that of the sines"]


class CarryData(VehicleHead):
    """A score carried to a ramp of another slope."""

    side: SideKey
    model_error: ModelErrorData
    connected: CarriedData
    released: Annotated[CarriedData | None, "null where no bar can be released"]


class DiameterData(IntervalData):
    """The unloaded diameter."""

    measured: Annotated[bool, "whether it was measured"]


class PressureData(TypedDict):
    """The tyre at one pressure."""

    pressure_Pa: Annotated[float, "inflation pressure over that of the air"]
    stiffness_N_per_m: Annotated[IntervalData, "vertical stiffness"]
    deflection_m: Annotated[IntervalData, "deflection under the load"]
    loaded_radius_m: Annotated[IntervalData, "height of the hub over the ground"]
    change_m: Annotated[IntervalData, "loaded radius less that at the first pressure"]


class TyreData(Versioned):
    """What a size code means, and the tyre aired down."""

    size: Annotated[str, "size code"]
    form: Annotated[str, OneOf(get_args(Form)), "form of the code"]
    radial: Annotated[bool | None, "whether it is a radial; null where the code does not say"]
    kind: Annotated[str | None, "kind of vehicle it is for; null where the code does not say"]
    load_range: Annotated[str | None, "letter of the load range"]
    service: Annotated[str | None, "load index and speed symbol"]
    nominal_diameter_m: Annotated[float, "outer diameter by the code"]
    nominal_width_m: Annotated[float, "section width by the code"]
    section_height_m: Annotated[float, "height of the section by the code"]
    rim_diameter_m: Annotated[float, "diameter of the rim by the code"]
    diameter_m: Annotated[DiameterData, "outer diameter, unloaded"]
    width_m: Annotated[IntervalData, "section width"]
    mass_kg: Annotated[IntervalData, "mass of the tyre"]
    rated_pressure_Pa: Annotated[float | None, "pressure that the load rating goes with"]
    load_N: Annotated[float, "load on the tyre"]
    pressures: Annotated[list[PressureData], "the tyre at each pressure"]


AxleIntervals = Annotated[dict[str, IntervalData], Keys(AXLES), "by axle"]
AxleValues = Annotated[dict[str, float | None], Keys(AXLES), "by axle"]


class RungScoreData(TypedDict):
    """The score on one tyre size in one state of the bars."""

    score: Annotated[IntervalData, "score [points]"]
    against_fitted: Annotated[IntervalData, "score less that on the tyres fitted [points]"]
    outcome: OutcomeKey
    scored: Annotated[int, "possible vehicles with a score"]
    lost: Annotated[int, "climbs that found no answer"]


class RungData(TypedDict):
    """One tyre size, with one way of setting the stops."""

    size: Annotated[str, "size code"]
    nominal_diameter_m: Annotated[float, "outer diameter by the code"]
    fitted: Annotated[bool, "whether it is the size that is fitted"]
    policy: Annotated[str, OneOf(POLICIES), "how the stops are set"]
    fits: Annotated[bool, "whether it is clear of the bodywork at ride height"]
    usable_bump_gap_m: Annotated[AxleIntervals, "bump gap at the stop that can be used"]
    limit: Annotated[dict[str, str], Keys(AXLES), "what ends it"]
    spacer_m: Annotated[AxleValues, "spacer on the bump stops"]
    rub_on_ramp_m: Annotated[AxleValues, "hub travel past the arch on the ramp; null where nothing is known"]
    rub_on_trail_m: Annotated[AxleValues, "the same at full bump and full lock"]
    scores: Annotated[dict[str, RungScoreData], "by state of the bars"]
    approach_angle_rad: Annotated[IntervalData, "approach angle"]
    breakover_angle_rad: Annotated[IntervalData, "ramp breakover angle"]
    departure_angle_rad: Annotated[IntervalData, "departure angle"]
    running_clearance_m: Annotated[IntervalData, "height of the lowest point between the wheels"]
    body_rise_m: Annotated[IntervalData, "rise of the body against the tyres fitted"]
    sprung_centre_height_m: Annotated[IntervalData, "height of the sprung mass's centre of gravity"]


class BestSizeData(TypedDict):
    """The size with the highest score among those that rub nowhere."""

    bars: BarsKey
    size: Annotated[str, "size code"]
    policy: Annotated[str, OneOf(POLICIES), "how the stops are set"]
    not_told_apart_from: Annotated[list[str], "sizes that may be as good"]


class LadderData(FileData):
    """Scores on a list of tyre sizes."""

    ramp_angle_rad: RampSlope
    vehicles_in_sample: Annotated[int, "possible vehicles of each size"]
    model_error: ModelErrorData
    climbs_lost: Annotated[int, "climbs that found no answer"]
    best: Annotated[list[BestSizeData], "one for each state of the bars"]
    sizes: Annotated[list[RungData], "smallest first"]


class ArchPointData(TypedDict):
    """How near the tyre comes to one point of the wheelhouse."""

    name: Annotated[str, "name of the point"]
    straight_m: Annotated[IntervalData, "bump travel where it is met, wheels straight"]
    over_lock_m: Annotated[IntervalData, "the least such travel over the lock"]
    together_m: Annotated[IntervalData, "the same, both wheels of the axle together"]
    nearest_m: Annotated[float, "least distance within the travel; negative where it overlaps"]
    nearest_at_travel_m: Annotated[float, "bump travel there"]
    nearest_at_steer_rad: Annotated[float, "steer angle there"]
    met_first_at_steer_rad: Annotated[float | None, "steer angle at which it is met first"]


class AxleClearanceData(TypedDict):
    """What ends the bump travel of one axle; what is never met is null."""

    solid: Annotated[bool, "whether it is a solid axle"]
    described: Annotated[bool, "whether the file describes the wheelhouse"]
    spaced: Annotated[bool, "whether the stops have spacers"]
    points: Annotated[list[ArchPointData], "points of the wheelhouse"]
    arch_gap_m: Annotated[IntervalData, "bump travel until the tyre meets the arch, wheels straight"]
    arch_gap_at_full_lock_m: Annotated[IntervalData, "the same at full lock"]
    touches_first: Annotated[str | None, "point that is met first, wheels straight"]
    touches_first_at_lock: Annotated[str | None, "the same at full lock"]
    stop_gap_m: Annotated[IntervalData, "bump travel until the stop is met"]
    stop_compression_m: Annotated[IntervalData, "how far the stop gives"]
    full_bump_travel_m: Annotated[IntervalData, "bump travel with the stop compressed"]
    clearance_kept_m: Annotated[float, "distance that is to stay clear"]
    clear_bump_gap_m: Annotated[IntervalData, "bump gap that keeps it"]
    usable_bump_gap_m: Annotated[IntervalData, "bump gap that can be used"]
    limit: Annotated[str, "what ends it"]
    spacer_m: Annotated[IntervalData, "spacer on the stops that keeps the tyre clear"]
    ramp_travel_m: Annotated[dict[str, float | None], "bump travel that the climb asks for, by state of the bars"]
    rub_on_ramp_m: Annotated[IntervalData, "hub travel past the arch on the ramp"]
    rub_on_ramp_share: Annotated[float | None, "share [1] of the possible vehicles that rub on the ramp"]
    rub_on_trail_m: Annotated[IntervalData, "hub travel past the arch at full bump and full lock"]


class AtPoint(IntervalData):
    """A value and the point of the bodywork it belongs to."""

    point: Annotated[str, "name of the point; empty where there is none"]


class StaticAnglesData(TypedDict):
    """Angles and heights of the bodywork at rest; null where the file has no points for it."""

    approach_rad: Annotated[AtPoint, "approach angle"]
    breakover_rad: Annotated[AtPoint, "ramp breakover angle"]
    departure_rad: Annotated[AtPoint, "departure angle"]
    running_clearance_m: Annotated[AtPoint, "height of the lowest point between the wheels"]
    loaded_radius_front_m: Annotated[IntervalData, "height of the front hubs over the ground"]
    loaded_radius_rear_m: Annotated[IntervalData, "height of the rear hubs over the ground"]


class BodyPointData(TypedDict):
    """How near one point of the underside comes to the ramp."""

    name: Annotated[str, "name of the point"]
    bars: BarsKey
    in_ramp_lane: Annotated[bool, "whether it is over the ramp's lane"]
    least_clearance_m: Annotated[float, "least distance on the way up; negative where it touches"]
    least_at_climb_m: Annotated[float, "climb there"]
    first_contact_m: Annotated[float | None, "climb where it first touches; null where it does not"]


class ClearanceData(FileData):
    """Where tyre and bodywork touch."""

    tyres: Annotated[str, "tyres in words"]
    side: SideKey
    ramp_angle_rad: RampSlope
    ramp_width_m: Annotated[float, "width of the ramp's lane"]
    vehicles_in_sample: Annotated[int, "possible vehicles behind the ranges"]
    climbs_lost: Annotated[int, "climbs that found no answer"]
    findings: Annotated[list[str], "the answers in sentences; what is wrong begins with !"]
    axles: Annotated[dict[str, AxleClearanceData], Keys(AXLES), "by axle"]
    static_angles: StaticAnglesData
    body_points: Annotated[list[BodyPointData], "points of the underside along the climb"]
    remarks: Remarks


class PlannedRunData(TypedDict):
    """What to expect of one run, central 90 %."""

    bars: BarsKey
    outcome: OutcomeKey
    score: Annotated[IntervalData, "score [points]"]
    climb_m: Annotated[IntervalData, "climb along the ramp"]
    mark_height_m: Annotated[IntervalData, "height of the mark over the floor"]
    tipping_angle_rad: Annotated[IntervalData, "sideways angle in hand at the mark"]
    ramp_wheel_load_N: Annotated[IntervalData, "load of the climbing wheel at the mark"]
    heaviest_wheel: Annotated[WheelOrNone, "wheel that carries most at the mark"]
    heaviest_load_N: Annotated[IntervalData, "load of the wheel that carries most"]
    past_toe_line_m: Annotated[dict[str, IntervalData], "how far wheels stand past the toe line at the mark"]
    lifting_wheel_share: Annotated[
        dict[str, float], "share [1] of the possible vehicles in which a wheel lifts, by wheel"
    ]
    stop_share: Annotated[
        dict[str, float], "share [1] of the possible vehicles with a score, by the limit that is met at the mark"
    ]
    possible_vehicles: Annotated[int, "possible vehicles tried"]
    without_score: Annotated[dict[str, int], "those without a score, by how the climb ends"]
    wheels_spin_share: Annotated[float, "share [1] of those with a score that end in wheelspin"]
    score_without_spin: Annotated[Score, "score [points] of the nominal vehicle with grip enough"]


class RampNeedData(TypedDict):
    """The ramp that the test needs."""

    length_m: Annotated[float | None, "length along the slope"]
    height_m: Annotated[float | None, "height of its end over the floor"]
    width_m: Annotated[float | None, "width"]
    wheel_load_N: Annotated[float | None, "load of the heaviest wheel on it, square to it"]
    rating_N: Annotated[float | None, "wheel load it should be rated for, with a margin"]
    push_N: Annotated[float | None, "level force that wheels push it away with"]
    level_ground_m: Annotated[float | None, "level floor behind its toe"]
    rear_wheel_climbs_share: Annotated[float, "share [1] of the possible vehicles whose rear wheel meets it"]
    bounded: Annotated[bool, "whether nearly all possible vehicles end somewhere"]


class LowPointData(TypedDict):
    """A point of the underside near the ramp."""

    point: Annotated[str, "name of the point"]
    gap_m: Annotated[float | None, "least distance on the way up"]
    climb_m: Annotated[float | None, "climb there"]
    bars: BarsKey


class BarLoadData(TypedDict):
    """Force of an anti-roll bar at each of its wheels."""

    at_rest: Annotated[float, "on level ground"]
    at_mark: Annotated[float, "at the mark"]


class ReleaseData(TypedDict):
    """What happens if the bars let go at the mark."""

    stands: Annotated[bool, "whether the vehicle comes to rest on all wheels"]
    roll_change_rad: Annotated[float | None, "change of the body's roll"]
    largest_hub_move_m: Annotated[float | None, "largest move of a hub"]
    lightest_wheel: WheelOrNone
    lightest_load_N: Annotated[float | None, "load of the wheel that carries least"]


class InfluenceData(TypedDict):
    """An input that makes the score uncertain."""

    keys: Annotated[list[str], "inputs that go together"]
    share_of_score_variance: Annotated[float, "their share [1]"]
    assumed: Annotated[bool, "whether they are assumed"]


class PlanData(FileData):
    """The plan of a test day."""

    side: SideKey
    ramp_angle_rad: RampSlope
    wheelbase_m: WheelbaseAtRest
    runs: Annotated[list[PlannedRunData], "one for each state of the bars"]
    ramp: RampNeedData
    clearances: Annotated[list[LowPointData], "lowest first"]
    bar_load_N: Annotated[dict[str, BarLoadData], "by axle"]
    release_on_ramp: Annotated[ReleaseData | None, "null where no bar can be released"]
    influences: Annotated[list[InfluenceData], "inputs that make the score uncertain, most first"]
    drive: DriveData
    model_error: ModelErrorData
    model_error_share_of_score_variance: Annotated[float, "share [1] that is the model's own error"]
    left_out: Annotated[int, "drawn vehicles that cannot exist"]
    samples: VehiclesDrawn
    seed: DrawSeed


class HeldData(TypedDict):
    """One measured score held against its prediction."""

    side: SidesKey
    bars: BarsKey
    measured: Annotated[IntervalData, "measured score [points] with its interval"]
    measured_coverage: Annotated[float, "probability [1] that the interval has"]
    predicted: Annotated[IntervalData | None, "predicted score [points], central 90 %"]
    difference: Annotated[float | None, "measured less predicted [points]"]
    covered: Annotated[bool | None, "whether the measured score lies in the predicted band"]


class MeasuredData(TypedDict):
    """A finished test, and what it was held against."""

    touch_load_N: Annotated[float, "load left under the wheel that lifts"]
    held_against_predictions: Annotated[list[HeldData], "by side and state of the bars"]
    gain: Annotated[GainData | None, "null where one state of the bars was not measured"]
    gain_sentence: Annotated[str, "the gain, measured and predicted, in a sentence"]
    verdict: Annotated[str, "what the audit says, in a sentence"]
    score: Annotated[ScoresData, "as the command score has it"]


class CheckedData(FileData):
    """A vehicle file that can be used, and what to look at again."""

    inputs: Annotated[int, "inputs of the vehicle"]
    assumed: Annotated[int, "those that are assumed"]
    roll_gradient: RollGradientData
    arch_first: Annotated[list[str], "where the tyre's arch comes before the stop, in sentences"]
    asked_about: Doubts
    remarks: Remarks
    assumptions: Inputs


class KeptFileData(TypedDict):
    """The vehicle file beside a kept sheet, as it was then."""

    file: Annotated[str, "vehicle file as the sheet names it"]
    file_sha256: Annotated[str, "SHA-256 of its text, hexadecimal"]
    drive: Annotated[str, "its drive in words; empty where it does not say"]
    tyres: Annotated[str, "its tyres in words"]
    changed_since: Annotated[bool | None, "whether the file is another by now; null where it is gone"]


class KeptCaseData(TypedDict):
    """One score of a kept sheet."""

    side: SidesKey
    bars: BarsKey
    climbs: Annotated[int, "climbs behind it"]
    lifted: Annotated[list[str], "wheels that lifted"]
    climb_m: Annotated[float, "climb along the ramp"]
    climb_standard_uncertainty_m: Annotated[float, "of the climb"]
    score: Annotated[IntervalData, "score [points] with its interval"]
    score_standard_uncertainty: Annotated[float, "of the score [points]"]
    coverage: Annotated[float, "probability [1] that the interval has"]
    predicted: Annotated[MedianInterval | None, "score [points] predicted then, central 90 %"]


class KeptGainData(TypedDict):
    """The gain of a kept sheet."""

    side: SidesKey
    gain: Annotated[IntervalData, "score released less connected [points] with its interval"]


class KeptSheetData(TypedDict):
    """One kept sheet with the answer that was noted beside it."""

    date: Annotated[str, "day of the test, YYYY-MM-DD"]
    vehicle: VehicleName
    title: Annotated[str, "title of the sheet"]
    file: Annotated[str, "day file it is kept in"]
    ramp_angle_rad: RampSlope
    ramp_angle_standard_uncertainty_rad: Annotated[float, "of the slope"]
    touch_load_N: Annotated[float, "load left under the wheel that lifts"]
    wheelbase_m: Annotated[float, "wheelbase"]
    assumed: Annotated[list[str], "keys that the sheet leaves out"]
    asked_about: Annotated[list[str], "readings that looked unlike what is meant"]
    remarks: Remarks
    notes: Annotated[str, "notes of the sheet"]
    noted_by: Annotated[str | None, "program that noted the answer; null where it was scored now"]
    sheet_sha256: Annotated[str, "SHA-256 of the sheet's text, hexadecimal"]
    scored_again: Annotated[str, "why the answer is not the noted one; empty where it is"]
    changes: Annotated[list[str], "what came out otherwise than noted"]
    vehicle_file: Annotated[KeptFileData | None, "the vehicle file beside it; null where there was none"]
    cases: Annotated[list[KeptCaseData], "scores by side and state of the bars"]
    gains: Annotated[list[KeptGainData], "gains by side"]


class StandingData(TypedDict):
    """One place of the ranking."""

    place: Annotated[int, "place, from 1"]
    place_range: Annotated[PlaceRange, "places it may have, 90 %"]
    date: Annotated[str, "day of the test, YYYY-MM-DD"]
    vehicle: VehicleName
    title: Annotated[str, "title of the sheet"]
    side: SidesKey
    bars: BarsKey
    measured: Annotated[float, "score as measured [points]"]
    score: Annotated[float, "score on equal terms [points]"]
    score_standard_uncertainty: Annotated[float, "of that [points]"]
    carried_by: Annotated[str, "as measured, or by what it was carried to equal terms"]
    probability_of_beating_next: Annotated[float | None, "probability [1]; null of the last"]
    not_comparable: Annotated[list[str], "why it may not compare with the others"]


class TermsData(TypedDict):
    """The equal terms of the ranking."""

    bars: BarsKey
    side: SidesKey
    ramp_angle_rad: Annotated[float, "slope that all scores are carried to"]
    chosen: Annotated[str, "what the results were narrowed to; empty for all"]


class TrackRecordData(TypedDict):
    """Predictions against measurements; null where there are too few vehicles."""

    ramp_angle_rad: Annotated[float | None, "slope of the ramp; null for all together"]
    scores: Annotated[int, "scores held against their predictions"]
    inside_90_percent_band: Annotated[int, "those inside their band"]
    vehicles: Annotated[int, "vehicles behind them"]
    bias: Annotated[float | None, "mean of ln(measured / predicted) [1]"]
    bias_standard_uncertainty: Annotated[float | None, "of the bias [1]"]
    scatter: Annotated[float | None, "standard deviation of ln(measured / predicted) [1]"]
    scatter_by_the_bands: Annotated[float | None, "the same as the bands have it [1]"]
    probability_of_more_scatter: Annotated[float | None, "of as much scatter [1], were the bands right"]
    verdict: Annotated[str, "what that says of the predictions"]


class LogbookData(Versioned):
    """All that was kept, ranked on equal terms."""

    terms: TermsData
    newest: Annotated[int | None, "place of the newest result in the ranking, from 0"]
    ranking: Annotated[list[StandingData], "best first"]
    sheets: Annotated[list[KeptSheetData], "in the order of their days"]
    predicted_against_measured: Annotated[list[TrackRecordData], "by slope of the ramp, and all together"]
    faults: Annotated[list[str], "what could not be read"]


class HandedFileData(TypedDict):
    """One file of a bundle."""

    file: Annotated[str, "its name"]
    file_sha256: Annotated[str, "SHA-256 of its bytes, hexadecimal"]
    bytes: Annotated[int, "its size"]


class ReceivedData(Versioned):
    """What was handed over, and whether it is as it was then."""

    program: Annotated[str, "program that wrote it"]
    versions: Annotated[dict[str, str], "versions of what it ran on, by name"]
    other_versions_here: Annotated[list[str], "what is otherwise here, in words"]
    vehicle: Annotated[str, "vehicle file in the bundle"]
    run_sheet: Annotated[str | None, "run sheet in the bundle; null where there is none"]
    options: Annotated[dict[str, list[str]], "options of the report, by name"]
    files: Annotated[list[HandedFileData], "every file"]
    as_handed_over: Annotated[bool, "whether all is as it was handed over"]
    report_again_the_same: Annotated[bool | None, "whether the report made anew is the same; null if not asked"]
    faults: Annotated[list[str], "what is not"]


class ErrorData(TypedDict):
    """One thing that is wrong."""

    kind: Annotated[str, OneOf(KINDS), "where it lies: in a file, in an option, or in what was asked for as a whole"]
    file: Annotated[str | None, "file it lies in, as it was named"]
    line: Annotated[int | None, "line of the file, from 1"]
    key: Annotated[str | None, "dotted key of the file"]
    option: Annotated[str | None, "option it lies in"]
    read: Annotated[str | None, "what was read there"]
    why: Annotated[str, "why that cannot be used"]
    works: Annotated[str | None, "what would work; null where nothing is known"]
    text: Annotated[str, "all of it as standard error has it"]


class RefusalData(Versioned):
    """What a command prints where it refuses."""

    exit_code: Annotated[int, "as the command leaves: 1 ran and found a problem, 2 cannot be used"]
    errors: Annotated[list[ErrorData], "all that is wrong"]


class ReportedSections(TypedDict, total=False):
    """What a report shows of a vehicle where there is something to show."""

    worth: Annotated[WorthData, "what steps are worth; where both runs have a score"]
    measured: Annotated[MeasuredData, "a finished test of it; with --run-sheet"]
    audit: Annotated[AuditData, "its audit; with --run-sheet"]


class ReportedVehicle(PlanData, ConditionData, ReportedSections):
    """One vehicle of a report."""


class ReportData(Versioned):
    """A report of one vehicle or several."""

    vehicles: Annotated[list[ReportedVehicle], "in the order they were named"]


PARTS: dict[str, tuple[Any, ...]] = {
    "predict": (PredictionData, AnswerData, ConditionData),
    "band": (BandData, ConditionData),
    "score": (ScoresData,),
    "logbook show": (LogbookData,),
    "learn": (LearningData, ConditionData),
    "audit": (AuditData,),
    "explain": (DifferenceData, ArchFirstData, ConditionData),
    "worth": (WorthData, ConditionData),
    "timeline": (TimelineData, ConditionData),
    "target": (TargetData, ConditionData),
    "blocks": (BlocksData, ConditionData),
    "compare": (ComparisonData, ConditionData),
    "carry": (CarryData, ConditionData),
    "tyre": (TyreData,),
    "clearance": (ClearanceData, ConditionData),
    "ladder": (LadderData, ConditionData),
    "test-day": (PlanData, ConditionData),
    "report": (ReportData,),
    "check": (CheckedData,),
    "receive": (ReceivedData,),
}
REFUSAL = "refusal"  # in place of a command: what any of them prints instead where it refuses


class NoDataError(ArticulateError, KeyError):
    """A command that prints no data, or none at all; the text says which do."""

    def __str__(self) -> str:
        return str(self.args[0])


def command_schema(command: str) -> dict[str, Any]:
    """The JSON Schema, draft 2020-12, of what a command prints with --json.

    Args:
        command: its words, such as "logbook show"; "refusal" for what any of them prints where it refuses.

    Raises:
        NoDataError: there is no such command, or it prints no data.
    """
    if command == REFUSAL:
        return schema("A refusal", "What a command prints with --json where it refuses.", RefusalData)
    if command not in PARTS:
        close = nearest(command, [*PARTS, REFUSAL])
        works = f"did you mean {close}?" if close else f"one of {', '.join([*PARTS, REFUSAL])}"
        raise NoDataError(f"no command that prints data; {works}")
    return schema(f"articulate {command}", f"What articulate {command} prints with --json.", *PARTS[command])
