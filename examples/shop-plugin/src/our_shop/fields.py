"""The shop's own fields in a spec, and their schema."""

from buildcheck.api import Length, Part, ShopFields, field


class JointThread(Part):
    """The thread of the adjustable joints."""

    diameter: Length = field("Its diameter.", between=("1/4 in", "3 in"), example="1 1/4 in", needed=True)
    engaged: Length = field(
        "How much of it is screwed into the link, at the joint that is out farthest.",
        between=("0 in", "8 in"),
        example="1 3/4 in",
        needed=True,
    )


class WeldProcedure(Part):
    """The procedure that the brackets are welded by."""

    name: str = field("What it is called.", example="procedure 7")
    approved_on: str = field("The day of its approval.", form="date")
    approved_by: str = field("Who approved it.", example="an inspector")
    processes: tuple[str, ...] = field("The processes that it is for, as brackets name them.", how_many=(1, 20))


class OurShop(Part):
    """What an invented shop writes down of every build."""

    joint_thread: JointThread
    weld_procedure: WeldProcedure


FIELDS = ShopFields("our_shop", OurShop)
