-- Questions about steel: components delivered and placed, their pieces, heats and certificates.

-- name: components
-- One row is one standing component by its own stamp, or a number of them by their lot's.
select
  component.{column}, -- for each component column
  component.entry_no, component.row_no, component.sheet
from component($as_of) as component
order by counting_order(component.stamp), component.stamp, component.delivery_id;

-- name: components_placed
-- One row is one place in the string of one standing run, from the toe up.
select
  placed.{column}, -- for each component_placed column
  run.run_on, run.run_order, placed.entry_no, placed.row_no, placed.sheet
from component_placed($as_of) as placed
left join ordered_run($as_of) as run
  on run.pile_id = placed.pile_id and run.run_no = placed.run_no
order by run.run_order nulls last, placed.pile_id, placed.run_no, placed.place;

-- name: deliveries
-- One row is one standing delivery note.
select
  delivery.{column}, -- for each delivery column
  delivery.entry_no, delivery.row_no, delivery.sheet
from delivery($as_of) as delivery
order by counting_order(delivery.delivery_id), delivery.delivery_id;

-- name: lots
-- One row is one standing lot with the days between which it is used.
select
  lot.{column}, -- for each lot column
  lot.entry_no, lot.row_no, lot.sheet
from lot($as_of) as lot
order by counting_order(lot.lot), lot.lot;

-- name: quarantines
-- One row is one heat that is in quarantine.
select
  quarantine.{column}, -- for each quarantine column
  quarantine.entry_no, quarantine.row_no, quarantine.sheet
from quarantine($as_of) as quarantine
where quarantine.quarantine_status = 'in quarantine'
order by quarantine.mill, counting_order(quarantine.heat), quarantine.heat;

-- name: quarantine_story
-- One row is one live word on the quarantine of a heat, lifted ones with it, the newest first.
select
  quarantine.{column}, -- for each quarantine column
  quarantine.entry_no
from quarantine
where quarantine.entry_no in (from live_entry($as_of)) and not quarantine.removed
order by quarantine.entry_no desc, quarantine.row_no;

-- name: certificate_files
-- One row is one file that shows one mill certificate.
select
  shown.{column}, -- for each certificate_file column
  shown.entry_no
from certificate_file($as_of) as shown
order by counting_order(shown.certificate), shown.certificate, shown.entry_no;

-- name: pieces
-- One row is one standing piece of steel in one component.
select
  piece.{column}, -- for each piece column
  piece.entry_no, piece.row_no, piece.sheet
from piece($as_of) as piece
order by counting_order(piece.stamp), piece.stamp, piece.delivery_id, piece.piece;

-- name: steel_certificates
-- One row is one standing mill certificate.
select
  certificate.{column}, -- for each certificate column
  certificate.entry_no, certificate.row_no, certificate.sheet
from certificate($as_of) as certificate
order by counting_order(certificate.certificate), certificate.certificate;

-- name: heats_on_certificates
-- One row is one heat that one standing mill certificate covers.
select
  heat.{column}, -- for each heat_on_certificate column
  heat.entry_no, heat.row_no, heat.sheet
from heat_on_certificate($as_of) as heat
order by heat.mill, counting_order(heat.heat), heat.heat, counting_order(heat.certificate),
         heat.certificate;
