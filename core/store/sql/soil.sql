-- Questions about the ground.

-- name: boreholes
-- One row is one standing borehole.
select
  borehole.{column}, -- for each borehole column
  borehole.entry_no, borehole.row_no, borehole.sheet
from borehole($as_of) as borehole
order by counting_order(borehole.borehole_id), borehole.borehole_id;

-- name: borehole_layers
-- One row is one standing layer of one borehole, from the ground down.
select
  layer.{column}, -- for each borehole_layer column
  layer.entry_no, layer.row_no, layer.sheet
from borehole_layer($as_of) as layer
order by counting_order(layer.borehole_id), layer.borehole_id, layer.from_mm;
