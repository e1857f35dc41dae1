"""The first schema: the journal, and the tables that show what its entries say today.

Written as SQL and frozen: it never follows the live models. Every table of the record has ``entry``, the journal line
that wrote the row.
Link tables carry their amounts, are keyed in the forward direction and covered in the reverse one, so that a trace
reads only what it touches. Where such a table has no row id, the columns of its key come first: SQLite's quick_check
(seen in 3.40) otherwise reports a NULL that is not there.
"""

from __future__ import annotations

from typing import Any

ENTRY = "entry BIGINT NOT NULL REFERENCES journal (seq)"

TABLES = f"""
CREATE TABLE journal (seq BIGINT NOT NULL PRIMARY KEY, at TEXT NOT NULL, happened TEXT NOT NULL, zone TEXT NOT NULL,
  who BIGINT NOT NULL, act TEXT NOT NULL, why TEXT NOT NULL, corrects BIGINT REFERENCES journal (seq),
  body TEXT NOT NULL, hash TEXT NOT NULL);
CREATE TABLE counter (name TEXT NOT NULL PRIMARY KEY, next BIGINT NOT NULL) WITHOUT ROWID;

CREATE TABLE site (id SERIAL_KEY, name TEXT NOT NULL, address TEXT NOT NULL, country TEXT NOT NULL, phone TEXT NOT NULL,
  approval TEXT NOT NULL, gln TEXT, company_prefix TEXT NOT NULL, zone TEXT NOT NULL, {ENTRY});
CREATE TABLE operator (id SERIAL_KEY, code TEXT NOT NULL UNIQUE, initials TEXT NOT NULL UNIQUE, name TEXT NOT NULL,
  {ENTRY});
CREATE TABLE species (code TEXT NOT NULL PRIMARY KEY, scientific TEXT NOT NULL, english TEXT NOT NULL,
  histamine INTEGER NOT NULL, origin TEXT NOT NULL, {ENTRY});
CREATE TABLE area (code TEXT NOT NULL PRIMARY KEY, name TEXT NOT NULL, origin TEXT NOT NULL, {ENTRY});
CREATE TABLE gear (code TEXT NOT NULL PRIMARY KEY, abbr TEXT NOT NULL, name TEXT NOT NULL, eu_category TEXT,
  origin TEXT NOT NULL, {ENTRY});
CREATE TABLE source (id SERIAL_KEY, kind TEXT NOT NULL, name TEXT NOT NULL, mark TEXT NOT NULL, flag TEXT NOT NULL,
  licence TEXT NOT NULL, imo TEXT NOT NULL, address TEXT NOT NULL, phone TEXT NOT NULL, {ENTRY},
  UNIQUE (kind, name, mark));
CREATE TABLE supplier (id SERIAL_KEY, name TEXT NOT NULL UNIQUE, address TEXT NOT NULL, phone TEXT NOT NULL, {ENTRY});
CREATE TABLE buyer (id SERIAL_KEY, name TEXT NOT NULL UNIQUE, phone TEXT NOT NULL, email TEXT NOT NULL,
  address TEXT NOT NULL, gln TEXT, {ENTRY});
CREATE TABLE equipment (id SERIAL_KEY, name TEXT NOT NULL UNIQUE, kind TEXT NOT NULL, {ENTRY});
CREATE TABLE product (id SERIAL_KEY, gtin TEXT NOT NULL UNIQUE, name TEXT NOT NULL, species TEXT REFERENCES species (code),
  smoking TEXT NOT NULL, net_g BIGINT NOT NULL, packaging TEXT NOT NULL, life_days BIGINT NOT NULL,
  ingredients TEXT NOT NULL, allergens TEXT NOT NULL, storage TEXT NOT NULL, cook TEXT NOT NULL,
  case_packs BIGINT NOT NULL, {ENTRY});

CREATE TABLE lot (id SERIAL_KEY, code TEXT NOT NULL UNIQUE, kind TEXT NOT NULL, item TEXT NOT NULL,
  source BIGINT REFERENCES source (id), supplier BIGINT REFERENCES supplier (id), species TEXT REFERENCES species (code),
  presentation TEXT NOT NULL, area TEXT REFERENCES area (code), gear TEXT REFERENCES gear (code), method TEXT NOT NULL,
  their_code TEXT NOT NULL, caught_from TEXT, caught_to TEXT, landed_on TEXT NOT NULL, received TEXT NOT NULL,
  g BIGINT NOT NULL, core_c100 BIGINT, document TEXT NOT NULL, note TEXT NOT NULL, {ENTRY});
CREATE INDEX lot_by_landing ON lot (landed_on, source, species);
CREATE TABLE work (id SERIAL_KEY, kind TEXT NOT NULL, {ENTRY});
CREATE TABLE batch (id BIGINT NOT NULL PRIMARY KEY REFERENCES work (id), code TEXT NOT NULL UNIQUE,
  smoking TEXT NOT NULL, product BIGINT REFERENCES product (id), equipment BIGINT REFERENCES equipment (id),
  started TEXT NOT NULL, note TEXT NOT NULL, {ENTRY});
CREATE TABLE run (id BIGINT NOT NULL PRIMARY KEY REFERENCES work (id), code TEXT NOT NULL UNIQUE,
  product BIGINT NOT NULL REFERENCES product (id), packed TEXT NOT NULL, packed_on TEXT NOT NULL,
  best_before TEXT NOT NULL, net_g BIGINT NOT NULL, {ENTRY});
CREATE INDEX run_by_product ON run (product);
CREATE TABLE lot_use (lot BIGINT NOT NULL REFERENCES lot (id), work BIGINT NOT NULL REFERENCES work (id), {ENTRY},
  g BIGINT, PRIMARY KEY (lot, work, entry)) WITHOUT ROWID;
CREATE INDEX lot_use_by_work ON lot_use (work, lot, g);
CREATE TABLE flow (parent BIGINT NOT NULL REFERENCES work (id), child BIGINT NOT NULL REFERENCES work (id), {ENTRY},
  g BIGINT NOT NULL, PRIMARY KEY (parent, child, entry)) WITHOUT ROWID;
CREATE INDEX flow_by_child ON flow (child, parent, g);
CREATE TABLE batch_release (id SERIAL_KEY, batch BIGINT NOT NULL REFERENCES batch (id), at TEXT NOT NULL,
  note TEXT NOT NULL, {ENTRY});
CREATE INDEX batch_release_by_batch ON batch_release (batch);
CREATE TABLE step (id SERIAL_KEY, batch BIGINT NOT NULL REFERENCES batch (id), name TEXT NOT NULL, started TEXT NOT NULL,
  ended TEXT, equipment BIGINT REFERENCES equipment (id), note TEXT NOT NULL, {ENTRY});
CREATE INDEX step_by_batch ON step (batch);
CREATE TABLE reading (id SERIAL_KEY, batch BIGINT NOT NULL REFERENCES batch (id), kind TEXT NOT NULL, probe TEXT NOT NULL,
  at TEXT NOT NULL, value BIGINT NOT NULL, unit TEXT NOT NULL, {ENTRY});
CREATE INDEX reading_by_batch ON reading (batch, kind, at);
CREATE TABLE loss (id SERIAL_KEY, lot BIGINT REFERENCES lot (id), work BIGINT REFERENCES work (id), kind TEXT NOT NULL,
  g BIGINT NOT NULL, at TEXT NOT NULL, note TEXT NOT NULL, {ENTRY});
CREATE INDEX loss_by_work ON loss (work, g);
CREATE INDEX loss_by_lot ON loss (lot, g);
CREATE TABLE contact (id SERIAL_KEY, kind TEXT NOT NULL, name TEXT NOT NULL, {ENTRY});
CREATE TABLE contact_batch (contact BIGINT NOT NULL REFERENCES contact (id), batch BIGINT NOT NULL REFERENCES batch (id),
  turn BIGINT NOT NULL, {ENTRY}, PRIMARY KEY (contact, batch)) WITHOUT ROWID;
CREATE INDEX contact_batch_by_batch ON contact_batch (batch, contact, turn);

CREATE TABLE pack_range (run BIGINT NOT NULL REFERENCES run (id), first BIGINT NOT NULL, last BIGINT NOT NULL,
  at TEXT NOT NULL, {ENTRY}, PRIMARY KEY (run, first)) WITHOUT ROWID;
CREATE TABLE pack_end (run BIGINT NOT NULL REFERENCES run (id), first BIGINT NOT NULL, last BIGINT NOT NULL,
  kind TEXT NOT NULL, batch BIGINT REFERENCES batch (id), reason TEXT NOT NULL, at TEXT NOT NULL, {ENTRY},
  PRIMARY KEY (run, first)) WITHOUT ROWID;
CREATE INDEX pack_end_by_batch ON pack_end (batch, run);
CREATE TABLE unit (sscc BIGINT NOT NULL PRIMARY KEY, kind TEXT NOT NULL, closed TEXT NOT NULL, {ENTRY});
CREATE TABLE label_print (id SERIAL_KEY, run BIGINT REFERENCES run (id), first BIGINT, last BIGINT,
  unit BIGINT REFERENCES unit (sscc), kind TEXT NOT NULL, reason TEXT NOT NULL, target TEXT NOT NULL, at TEXT NOT NULL,
  {ENTRY});
CREATE INDEX label_print_by_run ON label_print (run, first);
CREATE TABLE label_state (id SERIAL_KEY, print BIGINT NOT NULL REFERENCES label_print (id), state TEXT NOT NULL,
  note TEXT NOT NULL, at TEXT NOT NULL, {ENTRY});
CREATE INDEX label_state_by_print ON label_state (print);

CREATE TABLE content (run BIGINT NOT NULL REFERENCES run (id), first BIGINT NOT NULL,
  unit BIGINT NOT NULL REFERENCES unit (sscc), last BIGINT NOT NULL, since TEXT NOT NULL, until TEXT, {ENTRY},
  PRIMARY KEY (run, first, unit)) WITHOUT ROWID;
CREATE INDEX content_by_unit ON content (unit, run, first, last);
CREATE TABLE unit_content (child BIGINT NOT NULL REFERENCES unit (sscc), parent BIGINT NOT NULL REFERENCES unit (sscc),
  {ENTRY}, since TEXT NOT NULL, until TEXT, PRIMARY KEY (child, parent, entry)) WITHOUT ROWID;
CREATE INDEX unit_content_by_parent ON unit_content (parent, child);

CREATE TABLE dispatch (id SERIAL_KEY, code TEXT NOT NULL UNIQUE, buyer BIGINT NOT NULL REFERENCES buyer (id),
  document TEXT NOT NULL, carrier TEXT NOT NULL, at TEXT NOT NULL, {ENTRY});
CREATE INDEX dispatch_by_buyer ON dispatch (buyer, at);
CREATE INDEX dispatch_by_document ON dispatch (document);
CREATE TABLE dispatch_line (unit BIGINT NOT NULL REFERENCES unit (sscc),
  dispatch BIGINT NOT NULL REFERENCES dispatch (id), top INTEGER NOT NULL, {ENTRY},
  PRIMARY KEY (unit, dispatch)) WITHOUT ROWID;
CREATE INDEX dispatch_line_by_dispatch ON dispatch_line (dispatch, unit);
CREATE TABLE dispatch_packs (run BIGINT NOT NULL REFERENCES run (id), first BIGINT NOT NULL,
  dispatch BIGINT NOT NULL REFERENCES dispatch (id), last BIGINT NOT NULL, {ENTRY},
  PRIMARY KEY (run, first, dispatch)) WITHOUT ROWID;
CREATE INDEX dispatch_packs_by_dispatch ON dispatch_packs (dispatch, run);
CREATE TABLE goods_return (id SERIAL_KEY, code TEXT NOT NULL UNIQUE, buyer BIGINT NOT NULL REFERENCES buyer (id),
  document TEXT NOT NULL, reason TEXT NOT NULL, at TEXT NOT NULL, {ENTRY});
CREATE TABLE return_line (unit BIGINT NOT NULL REFERENCES unit (sscc),
  goods_return BIGINT NOT NULL REFERENCES goods_return (id), dispatch BIGINT NOT NULL REFERENCES dispatch (id), {ENTRY},
  PRIMARY KEY (unit, goods_return)) WITHOUT ROWID;
CREATE INDEX return_line_by_return ON return_line (goods_return, unit);
CREATE TABLE return_packs (run BIGINT NOT NULL REFERENCES run (id), first BIGINT NOT NULL,
  goods_return BIGINT NOT NULL REFERENCES goods_return (id), last BIGINT NOT NULL,
  dispatch BIGINT NOT NULL REFERENCES dispatch (id), {ENTRY},
  PRIMARY KEY (run, first, goods_return)) WITHOUT ROWID;
CREATE INDEX return_packs_by_return ON return_packs (goods_return, run);

CREATE TABLE hold (id SERIAL_KEY, lot BIGINT REFERENCES lot (id), work BIGINT REFERENCES work (id), kind TEXT NOT NULL,
  reason TEXT NOT NULL, at TEXT NOT NULL, {ENTRY});
CREATE INDEX hold_by_lot ON hold (lot);
CREATE INDEX hold_by_work ON hold (work);
CREATE TABLE hold_release (hold BIGINT NOT NULL PRIMARY KEY REFERENCES hold (id), by_name TEXT NOT NULL,
  reason TEXT NOT NULL, at TEXT NOT NULL, {ENTRY});
CREATE TABLE correction (id SERIAL_KEY, subject TEXT NOT NULL, ref TEXT NOT NULL, field TEXT NOT NULL, was TEXT, now TEXT,
  why TEXT NOT NULL, at TEXT NOT NULL, {ENTRY});
CREATE INDEX correction_by_subject ON correction (subject, ref);
CREATE TABLE alias (text TEXT NOT NULL, kind TEXT NOT NULL, ref BIGINT NOT NULL, {ENTRY},
  PRIMARY KEY (text, kind, ref)) WITHOUT ROWID;
CREATE INDEX alias_by_ref ON alias (kind, ref);
"""


def up(migrator: Any, db: Any) -> None:
    on_sqlite = type(db).__name__.startswith("Sqlite")
    key = "INTEGER PRIMARY KEY" if on_sqlite else "BIGINT GENERATED BY DEFAULT AS IDENTITY PRIMARY KEY"
    tail = " WITHOUT ROWID" if on_sqlite else ""
    for statement in TABLES.replace("SERIAL_KEY", key).replace(" WITHOUT ROWID", tail).split(";"):
        if statement.strip():
            db.execute_sql(statement)
