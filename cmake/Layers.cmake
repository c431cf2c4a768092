# The module table of the design: what each module may use, directly or not.
# `cw_module` refuses a link that is not listed here, and the test `layering`
# (cmake/CheckLayering.cmake) refuses an include that is not.
set(CW_MODULES
    base fluid air system series ingest derive phases twin checks scenario
    diagnose fieldwork book report print demo server cli)

set(CW_MAY_USE_base "")
set(CW_MAY_USE_fluid base)
set(CW_MAY_USE_air base)
set(CW_MAY_USE_system base fluid)
set(CW_MAY_USE_series base)
set(CW_MAY_USE_ingest base series)
set(CW_MAY_USE_derive base fluid air system series)
set(CW_MAY_USE_phases base fluid air system series derive)
set(CW_MAY_USE_twin base fluid air system)
# The checks take the compressor model of the twin, and nothing else of it.
set(CW_MAY_USE_checks base fluid air system series derive phases twin)
set(CW_MAY_USE_scenario base fluid air system series ingest twin)
set(CW_MAY_USE_diagnose base fluid air system series derive phases checks twin scenario)
set(CW_MAY_USE_fieldwork base fluid air system twin)
set(CW_MAY_USE_book base fluid air system series)
set(CW_MAY_USE_report base fluid air system series ingest derive phases checks twin
                      scenario diagnose fieldwork)
set(CW_MAY_USE_print base)
set(CW_MAY_USE_demo base series ingest)
set(CW_MAY_USE_server demo base fluid air system series ingest derive phases checks twin
                      scenario diagnose fieldwork book report print)
set(CW_MAY_USE_cli base fluid air system series ingest derive phases checks twin scenario
                   diagnose fieldwork book report print server)
