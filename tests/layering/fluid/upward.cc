// For the test layering_refuses: fluid stands below checks and may not use it.
#include "checks/limit_sheet.h"
