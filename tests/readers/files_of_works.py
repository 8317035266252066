"""One good file of each kind of grout, steel and survey, in both systems."""

from __future__ import annotations

TYPICAL_OF_WORKS: dict[str, dict[str, str]] = {
    "SI": {
        "grout_batch": "Batch,Date,Time mixed,Mix,w/c,Density (kg/m3),Flow (s)\n"
        "GB-14,2026-03-04,07:20,M1,0.45,1880,14.5\n",
        "grout_placement": "Pile,Lift,Batch no,From (m),To (m),Batched (L),Left (L),Spilled (L),"
        "Returned (L),Start,End\n"
        "101,1,GB-14,1.2,3.2,60,2,1,0,2026-03-04 07:41,2026-03-04 07:48\n",
        "grout_specimen": "Cube,Sample group,Batch,Date taken,Age (days),Tested,Strength (MPa)\n"
        "S-31-1,S-31,GB-14,2026-03-04,28,2026-04-01,41.5\n",
        "sample_group_member": "Sample group,Pile\nS-31,101\nS-31,102\n",
        "delivery": "Delivery note,Date delivered,Supplier,Order\n"
        "DN-12,2026-02-20,Invented supplier,PO-71\n",
        "lot": "Lot no,Used from,Used to\nLOT-9,2026-02-23,2026-03-06\n",
        "component": "Stamp,Kind,Lot,Quantity,Working length (m),Date delivered\n"
        "L-0457,lead,LOT-9,1,2.1,2026-02-20\n",
        "piece": "Stamp,Piece,Mill,Heat no,Certificate\nL-0457,shaft,Invented mill,7Q1803,MC-5\n",
        "component_placed": "Pile,Run,Place,Stamp,Used length (m),Bolts\n"
        "101,1,1,L-0457,2.1,none needed\n101,1,2,E-0012,1.5,fitted and tight\n",
        "certificate": "Certificate,Type,Issued by,Issue date\nMC-5,3.1,Invented mill,2025-11-30\n",
        "heat_on_certificate": "Certificate no,Mill,Heat,Page,Yield (MPa)\n"
        "MC-5,Invented mill,7Q1803,2,380\n",
        "survey": "Pile,Survey stage,Date,E (m),N (m),Level (m),Azimuth (deg)\n"
        "101,after cut-off,2026-03-10,100.262,200.488,3.12,\n",
        "borehole": "Borehole,Easting (m),Northing (m),Ground level (m),Water level (m)\n"
        "BH-2,98.4,204.1,5.2,3.4\n",
        "borehole_layer": "Borehole,From (m),To (m),Soil,Unit weight (kN/m3),su (kPa),phi (deg)\n"
        "BH-2,0,2.4,firm clay,18,60,\nBH-2,2.4,9,dense sand,20,,35\n",
    },
    "US": {
        "grout_batch": "batch number;mixed on;cement\nGB-15;2026-03-05;CL-2\n",
        "grout_placement": "Pile no\tlift no\tbatch\tfrom depth (ft)\tto depth (ft)\t"
        "batched (US gal)\treturn (US gal)\n101\t1\tGB-15\t4\t10\t16\t0\n",
        "grout_specimen": "Cylinder no,Sample set,Cast on,Test age (days),Strength (psi)\n"
        "C-1,S-4,2026-03-05,28,\n",
        "sample_group_member": "Sample set;Pile mark\nS-4;101\n",
        "delivery": "Delivery no;delivered by;condition\nDN-13;Invented supplier;dry\n",
        "lot": "lot\tin use from\nLOT-8\t2026-02-23\n",
        "component": "Serial no,Component type,Length (ft),Torque rating (ft-lb)\n"
        "E-0012,extension,5,9000\n",
        "piece": "Serial,Heat number\nE-0012,88120\n",
        "component_placed": "Pile number,Place in string,Serial,Length used (ft)\n101,1,E-0012,5\n",
        "certificate": "Mill cert,EN 10204,Grade\nMC-6,2.2,grade Y\n",
        "heat_on_certificate": "Mill certificate,Cast no,Tensile (ksi)\nMC-6,88120,75\n",
        "survey": "Mark;stage;day;east (ft);north (ft);elevation (ft);top level (ft)\n"
        "101;before concrete;2026-03-12;330.1;655.2;10.2;10.2\n",
        "borehole": "Boring;East (ft);North (ft);Ground level (ft)\nB-1;330;655;17\n",
        "borehole_layer": "Boring;Top (ft);Bottom (ft);Description;Unit weight (pcf);cu (psf)\n"
        "B-1;0;8;clay;115;1250\n",
    },
}
