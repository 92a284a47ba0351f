"""The lookup of one snapshot as ready bytes: the same, to the letter, as the model that `look_up` makes."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from schemas.answers import CautionAnswer, QuestionAnswer
from schemas.codes import Language
from schemas.lookup import LookupRequest
from service.catalogue.snapshot import Snapshot
from service.catalogue.strands import strands_of
from service.engine.checks import Case
from service.engine.checks.width import thread_engages_enough, width_in_window
from service.engine.codes import Check, Fastening, Verdict
from service.engine.frame import Frame
from service.engine.frame_notes import frame_notes
from service.engine.reasons import Reason
from service.fitting.ask_next import far_walls, those_that_tell_most
from service.fitting.cautions import cautions_called_for
from service.fitting.languages import sentences_in
from service.fitting.ready.fragments import Fragments, Said
from service.fitting.ready.ladders import NO_FACTS
from service.fitting.ready.misses import Missed, first_misses
from service.fitting.ready.order import first_fits
from service.fitting.ready.plans import Plans
from service.fitting.ready.questions import bits_of_questions
from service.fitting.ready.reasons import as_json, reason_json, width_reason_json
from service.fitting.ready.scene import Found, Scene
from service.fitting.ready.statics import STATIC_CHECKS, Statics, checked_by, reason_of
from service.fitting.translate import preferences_of, rounded
from service.fitting.wording import would_fit_text

_VERDICTS = tuple(verdict.encode() for verdict in Verdict)


class ReadyLookup:
    """Answers lookups on one snapshot."""

    def __init__(self, snapshot: Snapshot) -> None:
        strands = strands_of(snapshot.kinds)
        self._snapshot = snapshot
        self._walls = far_walls(snapshot)
        statics = Statics(strands.manners, snapshot.facts)
        self.plans = Plans(strands, statics, list(self._walls))
        self._fragments = Fragments(snapshot, statics)

    def page(
        self, request: LookupRequest, frame: Frame, offset: int, language: Language
    ) -> tuple[bytes, int, int]:
        """The answer up to its cursor, how many axles the pages show up to here, and how many there are."""
        scene = Scene(frame, self.plans)
        words = _Words(scene, self._fragments, language)
        end = offset + request.limit
        fits = first_fits(scene, preferences_of(request), end)[offset:]
        misses = first_misses(scene, request.near_misses)
        body = b"".join(
            [
                b'{"catalogue_revision":%d,"frame":' % self._snapshot.revision,
                _frame(frame, language),
                b',"fits":[',
                b",".join([words.fit(found, rank) for rank, found in enumerate(fits, start=offset + 1)]),
                b'],"near_misses":[',
                b",".join([words.miss(missed) for missed in misses]),
                b'],"ask_next":',
                _questions(bits_of_questions(scene, self._walls), language),
                b',"cautions":',
                _cautions(cautions_called_for(frame, {_seen(found) for found in fits}), language),
                b',"counts":{"considered":%d,"fits":%d,"fits_with_caution":%d,"check_first":%d,"no_fit":%d}'
                % (sum(scene.counts), *scene.counts),
                b',"next_cursor":',
            ]
        )
        return body, offset + len(fits), sum(scene.counts[:-1])


def ready_lookup(snapshot: Snapshot) -> ReadyLookup:
    """The lookup of a snapshot, prepared when it is first asked for."""
    known: ReadyLookup | None = snapshot.workings.get("ready_lookup")
    if known is None:
        known = snapshot.workings["ready_lookup"] = ReadyLookup(snapshot)
    return known


class _Words:
    """Makes the JSON of axles; what several have in common is made once."""

    def __init__(self, scene: Scene, fragments: Fragments, language: Language) -> None:
        self._scene = scene
        self._fragments = fragments
        self._language = language
        self._sayings = fragments.about(scene.frame, scene.keys, language)
        self._seen_with = (scene.setting, scene.width_mm, scene.frame.recess_mm, id(language))

    def fit(self, found: Found, rank: int) -> bytes:
        """An axle that fits."""
        said, window = self._sayings.of(found.place.manner), found.window
        axle, tool = self._fragments.axle(found)
        probability = rounded(found.width_probability * found.factor)
        return b"".join(
            [
                b'{"rank":%d,"verdict":"%b","fit_probability":' % (rank, _VERDICTS[found.verdict]),
                repr(probability).encode(),
                _window(window.lower_mm, window.upper_mm, window.ideal_mm),
                axle,
                b',"reasons":[',
                self._reasons(found, said),
                b'],"also_needed":[',
                said.also_needed,
                b'],"tool":',
                tool,
                b"}",
            ]
        )

    def miss(self, missed: Missed) -> bytes:
        """A near miss."""
        found = missed.found
        axle, _ = self._fragments.axle(found)
        reasons = self._reasons(found, self._sayings.of(found.place.manner))
        would_fit = self._would_fit(missed)
        return b"".join([b'{"axle":', axle, b',"reasons":[', reasons, b'],"would_fit_if":', would_fit, b"}"])

    def _would_fit(self, missed: Missed) -> bytes:
        """What would have to change for a near miss to fit."""
        if missed.check is not Check.WIDTH:
            return as_json(would_fit_text(self._wrong(missed), language=self._language)).encode()
        known, key = self._fragments.of_width, (id(missed.found.place.kind), self._seen_with, missed.check)
        if (would_fit := known.get(key)) is None:
            would_fit = as_json(would_fit_text(self._wrong(missed), language=self._language)).encode()
            self._fragments.keep_of_width(key, would_fit)
        return would_fit

    def _reasons(self, found: Found, said: Said) -> bytes:
        kind = found.place.kind
        known, key = self._fragments.of_width, (id(kind), self._seen_with)
        if (of_width := known.get(key)) is None:
            case = case_of(found, self._scene.frame)
            width = width_reason_json(width_in_window(case), self._language)
            engagement = width_reason_json(thread_engages_enough(case), self._language)
            of_width = b"".join([b",", width, b",", engagement])
            self._fragments.keep_of_width(key, of_width)
        return b"".join([said.first, of_width, said.others])

    def _wrong(self, missed: Missed) -> Reason:
        """The reason that names the one thing wrong."""
        axle, frame = missed.found.place.kind.axle, self._scene.frame
        if missed.check is Check.WIDTH:
            return width_in_window(case_of(missed.found, frame))
        check = next(one for one in STATIC_CHECKS if checked_by(one) is missed.check)
        reason = reason_of(check, axle, frame, self._scene.plan.statics.facts)
        assert reason is not None  # noqa: S101 (it is what the axle fails)
        return reason


def case_of(found: Found, frame: Frame) -> Case:
    """The case of an axle, as the checks of the width look at it."""
    return Case(found.place.kind.axle, frame, NO_FACTS, found.window, found.width_probability, 1.0)


def _seen(found: Found) -> tuple[Fastening, float | None]:
    axle = found.place.kind.axle
    return axle.fastening, axle.shaft_mm


@lru_cache(maxsize=16_384)
def _window(lower_mm: float, upper_mm: float, ideal_mm: float) -> bytes:
    """What is said of a window, which many axles and all frames that are alike have in common."""
    least, greatest, ideal = rounded(lower_mm), rounded(upper_mm), rounded(ideal_mm)
    window = f'{{"min":{least!r},"max":{greatest!r}}}'
    return f',"width_window_mm":{window},"ideal_width_mm":{ideal!r},"axle":'.encode()


def _frame(frame: Frame, language: Language) -> bytes:
    """The frame as it was understood."""
    width = frame.widths.outside
    value, uncertainty = rounded(width.value_mm), rounded(width.standard_uncertainty_mm)
    notes = b",".join([reason_json(note, language) for note in frame_notes(frame)])
    return (
        b'{"outside_width_mm":{"value":%b,"standard_uncertainty":%b},"notes":[%b]}'
        % (repr(value).encode(), repr(uncertainty).encode(), notes)
    )  # fmt: skip


def _questions(bits: Iterable[tuple[float, str]], language: Language) -> bytes:
    asked = [_question(field, told, language) for told, field in those_that_tell_most(bits)]
    return b"[" + b",".join(asked) + b"]"


@lru_cache(maxsize=4096)
def _question(field: str, bits: float, language: Language) -> bytes:
    text = sentences_in(language).questions[field]
    return QuestionAnswer(field=field, expected_bits=bits, text=text).model_dump_json().encode()


@lru_cache(maxsize=256)
def _cautions(codes: tuple[str, ...], language: Language) -> bytes:
    texts = sentences_in(language).cautions
    answers = [CautionAnswer(code=code, text=texts[code]) for code in codes]
    return b"[" + b",".join([answer.model_dump_json().encode() for answer in answers]) + b"]"
