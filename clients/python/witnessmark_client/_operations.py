"""Every operation of the service, once for both clients. Named like the operation, fields as keyword arguments."""

from __future__ import annotations

from witnessmark_client._base import R_co
from witnessmark_client._bulk import Bulk
from witnessmark_client._calculations import Calculations
from witnessmark_client._cases import Cases
from witnessmark_client._cleanup import Cleanup
from witnessmark_client._diagnosis import Diagnosis
from witnessmark_client._health import Health
from witnessmark_client._properties import Properties
from witnessmark_client._restart import Restart
from witnessmark_client._trend import Trend


class Operations(
    Health[R_co],
    Properties[R_co],
    Calculations[R_co],
    Diagnosis[R_co],
    Cleanup[R_co],
    Restart[R_co],
    Cases[R_co],
    Bulk[R_co],
    Trend[R_co],
):
    """All groups of operations in one."""
