"""peewee, without the driver of a server until one is asked for.

It loads every driver that it finds when it is loaded itself. psycopg takes longer than the rest of a start, and a house on
a file never uses it.
"""

from __future__ import annotations

import sys

__all__ = ["load_server_driver", "peewee"]

_hidden = {name: None for name in ("psycopg", "psycopg2") if name not in sys.modules}
sys.modules.update(_hidden)  # type: ignore[arg-type]  # None is how Python says that a module cannot be loaded
try:
    import peewee
finally:
    for _name in _hidden:
        del sys.modules[_name]


def load_server_driver() -> None:
    """Give peewee the driver psycopg 3.

    Raises:
        ImportError: it is not installed.
    """
    import psycopg
    from psycopg.pq import TransactionStatus
    from psycopg.types.json import Json, Jsonb

    given = {"psycopg": psycopg, "TransactionStatus": TransactionStatus, "Json_pg3": Json, "Jsonb_pg3": Jsonb}
    vars(peewee).update(given)
    adapter = peewee.Psycopg3Adapter
    adapter.txn_idle = TransactionStatus.IDLE
    adapter.txn_inerror = TransactionStatus.INERROR
    adapter.txn_unknown = TransactionStatus.UNKNOWN
