-- Questions about grout: batches, what they gave to each lift, specimens and their piles.

-- name: grout_batches
-- One row is one standing batch.
select
  grout_batch.{column}, -- for each grout_batch column
  grout_batch.entry_no, grout_batch.row_no, grout_batch.sheet
from grout_batch($as_of) as grout_batch
order by grout_batch.mixed_on, grout_batch.mixed_at nulls last,
         counting_order(grout_batch.batch_id), grout_batch.batch_id;

-- name: grout_placements
-- One row is what one standing batch gave to one lift of one run, with the run's day and order; a
-- pile's lifts come in the order of the work. `run_order` is empty when the run does not stand.
select
  placement.{column}, -- for each grout_placement column
  run.run_on, run.run_order, placement.entry_no, placement.row_no, placement.sheet
from grout_placement($as_of) as placement
left join ordered_run($as_of) as run
  on run.pile_id = placement.pile_id and run.run_no = placement.run_no
order by run.run_order nulls last, placement.pile_id, placement.from_mm,
         counting_order(placement.lift_no), placement.lift_no, placement.batch_id;

-- name: grout_specimens
-- One row is one standing specimen.
select
  specimen.{column}, -- for each grout_specimen column
  specimen.entry_no, specimen.row_no, specimen.sheet
from grout_specimen($as_of) as specimen
order by counting_order(specimen.sample_group_id), specimen.sample_group_id, specimen.age_days,
         counting_order(specimen.specimen_id), specimen.specimen_id;

-- name: sample_group_members
-- One row is one pile that one standing sample group stands for.
select
  member.{column}, -- for each sample_group_member column
  member.entry_no, member.row_no, member.sheet
from sample_group_member($as_of) as member
order by counting_order(member.sample_group_id), member.sample_group_id,
         counting_order(member.pile_id), member.pile_id;
