"""Many rows at once through the operations of the service: one row is one request.

>>> from witnessmark.api.bulk import compute_batch
>>> rows = {"pressure[kPaa]": [350.0, -1.0], "temperature[degC]": [15.0, 15.0]}
>>> found = compute_batch("superheat", rows, refrigerant="R-134a")
>>> found.columns["margin[K]"].tolist(), found.columns["error_code"]
([9.971927951, nan], [None, 'out-of-range'])
"""

from witnessmark.api.bulk.compute import Batch, compute_batch

__all__ = ["Batch", "compute_batch"]
