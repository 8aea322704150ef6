"""Patterns put together by hand, for the tests of their sheets. All of it is invented."""

from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np

from pithline.arrays import frozen
from pithline.logs import LogSolid, TallyLog, chords, rotation, solid_from_tally, turned
from pithline.patterns.frame import frame_on
from pithline.patterns.pattern import Cut, Part, Pattern, Piece, Position
from pithline.setup import Kit, RailStand, stand_rail
from setups import FAR, tally
from strategies import FOOT, INCH, altered

KIT = altered(FAR, "saw", kerf_mm=0.375 * INCH)


@dataclass(frozen=True)
class Layer:
    """What lies between two passes: a timber, a board, or a cant that is sawn further."""

    thick: float
    name: str
    wide: float | None = None
    span: tuple[float, float] | None = None
    cant: "Stack | None" = None


@dataclass(frozen=True)
class Stack:
    """Layers from the top down: the height of the first face, and the turn they are sawn in."""

    top: float
    layers: tuple[Layer, ...]
    turn: float = 0.0
    on_rail: bool = True


class Sawyer:
    """Puts the parts, pieces and positions of a pattern together."""

    def __init__(self, row: TallyLog, kit: Kit) -> None:
        self.log = solid_from_tally(row)
        self.kit = kit
        self.parts: list[Part] = []
        self.pieces: list[Piece] = []
        self.positions: list[Position] = []
        self.passes = 0

    def saw(self, ends: tuple[float, float], stack: Stack, *, roll: float = 0.0) -> None:
        """Saw one part."""
        centers = (frozen(np.zeros(2)), frozen(np.zeros(2)))
        frame = frame_on(self.log, ends, roll_deg=roll, centers_mm=centers)
        self.parts.append(Part(*ends, roll, *centers, "by hand"))
        self._position(frame.solid, stack, within=None)

    def _position(self, solid: LogSolid, stack: Stack, *, within: tuple[float, float] | None) -> None:
        lies = turned(solid, stack.turn)
        kerf = self.kit.saw.kerf_mm
        y, cuts, cants = stack.top, [], []
        face = None if stack.on_rail else self.passes
        for number, layer in enumerate([*stack.layers, None]):
            self.passes += 1
            line = y if number == 0 else y - kerf
            above = stack.layers[number - 1].thick if number else 2.0 * INCH
            frees = "slab" if number == 0 else stack.layers[number - 1].name
            cuts.append(self._cut(lies, line, within=within, above=(above, face), frees=frees))
            face = self.passes
            if layer is None:
                break
            top, y = line, line - layer.thick
            if layer.cant is not None:
                cants.append((layer.cant, (y, top)))
            else:
                self._piece(lies, layer, faces=(y, top), within=within, turn=stack.turn)
        stand = self._stand(lies, stack.top, within) if stack.on_rail else None
        if stand is not None:
            cuts[0] = replace(cuts[0], setting_mm=stand.setting_mm)
        self.positions.append(
            Position(
                number=len(self.positions) + 1,
                part=len(self.parts) - 1,
                body="the log" if within is None else "the cant",
                turn_deg=stack.turn,
                log=lies,
                within_mm=within,
                over_mm=(None, None),
                stand=stand,
                cuts=tuple(cuts),
                minutes=25.0 if stand else 10.0,
            )
        )
        for cant, (low, high) in cants:
            # A quarter turn clockwise takes up to the right, so that heights become places across.
            sides = (low, high) if cant.turn > 0.0 else (-high, -low)
            self._position(solid, cant, within=sides)

    def _stand(self, lies: LogSolid, top: float, within: tuple[float, float] | None) -> RailStand:
        middle = 0.0 if within is None else 0.5 * (within[0] + within[1])
        half = None if within is None else 0.5 * (within[1] - within[0])
        about = replace(lies, center_mm=frozen(lies.center_mm - np.array([middle, 0.0])))
        return stand_rail(self.kit, about, line_mm=top, within_mm=half, ends_mm=(0.0, lies.length_mm))

    def _cut(
        self,
        lies: LogSolid,
        line: float,
        *,
        within: tuple[float, float] | None,
        above: tuple[float, int | None],
        frees: str,
    ) -> Cut:
        thick, face = above
        middle, half = chords(lies.center_mm, lies.shape_mm, at_mm=line, axis=1)
        left, right = middle - half, middle + half
        if within is not None:
            left, right = np.maximum(left, within[0]), np.minimum(right, within[1])
        wide = np.where(half > 0.0, np.maximum(right - left, 0.0), 0.0)
        area = float(np.trapezoid(wide, lies.z_mm)) / 1e6
        return Cut(
            number=self.passes,
            rides_on="rail" if face is None else "face",
            face_of=face,
            setting_mm=thick,
            line_mm=line,
            z_mm=lies.z_mm,
            width_mm=frozen(wide),
            widest_mm=float(wide.max()),
            area_m2=area,
            minutes=area / self.kit.saw.feed_m2_min,
            frees=frees,
        )

    def _piece(
        self,
        lies: LogSolid,
        layer: Layer,
        *,
        faces: tuple[float, float],
        within: tuple[float, float] | None,
        turn: float,
    ) -> None:
        part = self.parts[-1]
        start, end = layer.span or (0.0, lies.length_mm)
        there = (lies.z_mm >= start) & (lies.z_mm <= end)
        edges = [chords(lies.center_mm[there], lies.shape_mm[there], at_mm=y, axis=1) for y in faces]
        left = max(float((middle - half).max()) for middle, half in edges)
        right = min(float((middle + half).min()) for middle, half in edges)
        if within is not None:
            left, right = max(left, within[0]), min(right, within[1])
        if layer.wide is not None:
            middle = 0.5 * (left + right)
            left, right = middle - 0.5 * layer.wide, middle + 0.5 * layer.wide
        low, high = faces
        corners = np.array([(left, low), (right, low), (right, high), (left, high)]) @ rotation(-turn).T
        corners = frozen(np.roll(corners, round(turn / 90.0), axis=0))
        size = sorted((layer.thick, right - left))
        kind = "board" if size[0] < 2.5 * INCH else "timber"
        volume = size[0] * size[1] * (end - start) / (144.0 * INCH**3)
        self.pieces.append(
            Piece(
                name=layer.name,
                kind=kind,
                thickness_mm=size[0],
                width_mm=size[1],
                start_mm=part.start_mm + start,
                end_mm=part.start_mm + end,
                part=len(self.parts) - 1,
                corners_butt_mm=corners,
                corners_tip_mm=corners,
                frame_butt_mm=corners,
                frame_tip_mm=corners,
                wane_mm=0.0,
                value=volume * (2.0 if kind == "timber" else 0.8),
                bf=volume,
            )
        )

    def pattern(self, **more: Any) -> Pattern:
        """What came out."""
        minutes = sum(position.minutes for position in self.positions)
        minutes += sum(cut.minutes for position in self.positions for cut in position.cuts)
        told: dict[str, Any] = {
            "why": "Most worth of the log after sawing.",
            "gives_up": "",
            "notes": (),
        } | more
        return Pattern(
            log=self.log,
            kit=self.kit,
            parts=tuple(self.parts),
            pieces=tuple(self.pieces),
            positions=tuple(self.positions),
            value=sum(piece.value for piece in self.pieces),
            minutes=minutes,
            cost=0.5 * minutes,
            kerf_mm3=1e7,
            slab_mm3=2e7,
            **told,
        )


def boards(name: str, thick: float, count: int, **more: Any) -> tuple[Layer, ...]:
    """Some boards alike."""
    return (Layer(thick, name, **more),) * count


@cache
def simple() -> Pattern:
    """A plate between boards, the cant turned a quarter clockwise."""
    row = tally("A-3", 20 * FOOT, 17 * INCH, 14 * INCH, crown_mm=INCH, crown_clock=2.5, bark_mm=0.5 * INCH)
    row = replace(row, butt_pith_mm=9.0, butt_pith_clock=2.0, tip_pith_mm=15.0, tip_pith_clock=4.0)
    cant = Stack(4.4 * INCH, (*boards("board", INCH, 1), Layer(6.25 * INCH, "plate"), *boards("board", INCH, 1)), 90.0)
    layers = (
        Layer(1.125 * INCH, "board", span=(0.0, 11 * FOOT)),
        Layer(8.25 * INCH, "cant", cant=cant),
        *boards("board", INCH, 1),
    )
    sawyer = Sawyer(row, KIT)
    sawyer.saw((0.0, row.length_mm), Stack(5.6 * INCH, layers), roll=15.0)
    return sawyer.pattern()


@cache
def many(turn: float = -90.0) -> Pattern:
    """A thick log sawn through and through around a cant of two timbers: 11 level lines, 8 plumb ones."""
    row = tally("B-12", 16 * FOOT, 26 * INCH, 23.5 * INCH, crown_mm=0.5 * INCH, crown_clock=10.0)
    cant = Stack(
        9.5 * INCH,
        (
            *boards("siding", 0.875 * INCH, 2),
            Layer(6.25 * INCH, "plate"),
            *boards("siding", 0.75 * INCH, 1),
            Layer(4.25 * INCH, "purlin"),
            *boards("siding", 0.875 * INCH, 2),
        ),
        turn,
        on_rail=False,
    )
    layers = (
        *boards("siding", 0.875 * INCH, 3),
        Layer(1.5 * INCH, "plank"),
        Layer(8.25 * INCH, "cant", cant=cant),
        Layer(1.5 * INCH, "plank", span=(2 * FOOT, 16 * FOOT)),
        *boards("siding", 0.875 * INCH, 3),
        Layer(0.875 * INCH, "siding", span=(0.0, 9 * FOOT)),
    )
    sawyer = Sawyer(row, KIT)
    sawyer.saw((0.0, row.length_mm), Stack(10.2 * INCH, layers), roll=-70.0)
    return sawyer.pattern(gives_up="Two boards less than the first way, and 40 minutes less of sawing.")


@cache
def bucked() -> Pattern:
    """A crooked log cut in two, each part turned its own way."""
    row = tally("C-7", 21 * FOOT, 15 * INCH, 12 * INCH, crown_mm=1.25 * INCH, crown_clock=4.0, bark_mm=12.0)
    sawyer = Sawyer(row, KIT)
    cant = Stack(3.2 * INCH, (Layer(6.25 * INCH, "post"),), 90.0)
    half = 12 * FOOT
    sawyer.saw((0.0, half), Stack(3.3 * INCH, (Layer(6.25 * INCH, "cant", cant=cant),)), roll=-30.0)
    layers = (*boards("board", 1.125 * INCH, 2), Layer(4.25 * INCH, "brace", wide=4.25 * INCH))
    sawyer.saw((half + KIT.saw.kerf_mm, row.length_mm), Stack(4.0 * INCH, layers), roll=60.0)
    return sawyer.pattern(notes=("The bend at 12 ft is cut away.",))
