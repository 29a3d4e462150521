"""Who may look ahead, and for whom: as on the board."""

from certs.board.access import people_on_board_of

__all__ = ["people_on_board_of"]
