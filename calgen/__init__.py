"""calgen: which cover goes into which bed, when to sow, cut and plant, and a year of it on the wall and the phone.

The pipeline, in stage order; each folder imports only what stands before it:

    problems, yamlfile   places in a file, faults, and the typed reader of YAML nodes
    site/                1  site file             -> Site
    climate/             2  three numbers, normals or a daily record -> Climate
    knowledge/           3  crops and covers as data with sources -> Knowledge
    planner/             4  Site + Climate + Knowledge -> Plan (windows, chains, covers, reasons)
    schedule/            5  Plan -> Schedule (dated jobs and spans: what every renderer shares)
    render/              6  Schedule -> bytes (chart, sheets, feeds, page, plan.json)
    cli                  reads, calls, writes
"""

__version__ = "0.1.0"
