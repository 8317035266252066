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
