"""A bolt, wherever it is: through a joint, or one of those that hold a bracket."""

from buildcheck.build.field import field
from buildcheck.build.part import Force, Part, Pressure, Torque


class Bolt(Part):
    """A bolt, and how it is tightened."""

    size: str = field(
        "Thread: diameter and threads an inch (5/8-11), or metric diameter and pitch (M16x2).",
        form="thread",
    )
    grade: str = field(
        "Strength grade (SAE J429) or property class (ISO 898-1).",
        plugins_add="bolt_grades",
        one_of=("sae-2", "sae-5", "sae-8", "4.6", "5.8", "8.8", "10.9", "12.9"),
        example="sae-8",
    )
    threads_in_shear_plane: bool = field("Whether a shear plane runs through the threads.", example=False)
    torque: Torque = field("Tightening torque.", between=("1 N·m", "2500 N·m"), example="150 lb-ft")
    thread_condition: str = field(
        "How the threads are when they are tightened; the torque means little without it.",
        one_of=("dry", "oiled", "plated", "anti-seize", "thread-locker"),
        example="oiled",
    )
    preload: Force = field(
        "Clamp load that each bolt is tightened to, where it is known.",
        between=("100 N", "1000 kN"),
        example="14000 lbf",
    )
    locked_by: str = field(
        "Means that keeps it from coming loose; of several, the one that counts.",
        one_of=(
            "all-metal-lock-nut",
            "nylon-insert-lock-nut",
            "jam-nut",
            "castle-nut-and-cotter-pin",
            "thread-locking-compound",
            "safety-wire",
            "tab-washer",
            "wedge-locking-washer",
            "staked-thread",
            "split-lock-washer",
            "nothing",
        ),
    )
    proof_strength: Pressure = field(
        "Proof strength, where it is not that of the grade.", between=("150 MPa", "2000 MPa"), example="120 ksi"
    )
