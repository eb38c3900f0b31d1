"""Every operation of the service, once for both clients. Named like the operation, fields as keyword arguments."""

from __future__ import annotations

from typing import Any, Generic, Literal, TypeVar
from urllib.parse import quote

from witnessmark_client._protocol import Call, given
from witnessmark_client._quantities import Quantity, Site

R_co = TypeVar("R_co", covariant=True)
System = Literal["SI", "IP"]


class Operations(Generic[R_co]):
    """The operations; a client says how one is performed and what comes back."""

    def _perform(self, call: Call) -> R_co:
        raise NotImplementedError

    def _get(self, path: str, **query: str | None) -> R_co:
        return self._perform(Call("GET", path, query=given(**query)))

    def _post(self, path: str, *, accept: str = "application/json", **fields: Any) -> R_co:
        return self._perform(Call("POST", path, body=given(**fields), accept=accept))

    def livez(self) -> R_co:
        """Does the process answer."""
        return self._get("/livez")

    def readyz(self) -> R_co:
        """Does the process take work."""
        return self._get("/readyz")

    def list_refrigerants(self, *, report_in: System | None = None) -> R_co:
        """Every refrigerant with its class, property basis and accuracy."""
        return self._get("/v1/refrigerants", report_in=report_in)

    def get_refrigerant(self, designation: str, *, report_in: System | None = None) -> R_co:
        """One refrigerant by its ASHRAE 34 designation."""
        return self._get(f"/v1/refrigerants/{quote(designation, safe='')}", report_in=report_in)

    def saturation(
        self,
        *,
        refrigerant: str,
        temperature: Quantity | None = None,
        pressure: Quantity | None = None,
        site: Site | None = None,
        report_in: System | None = None,
    ) -> R_co:
        """Bubble and dew point at a temperature or a pressure."""
        return self._post("/v1/saturation", **_fields(locals()))

    def superheat(
        self,
        *,
        refrigerant: str,
        pressure: Quantity,
        temperature: Quantity,
        place: Literal["suction", "discharge", "sump"] | None = None,
        site: Site | None = None,
        report_in: System | None = None,
    ) -> R_co:
        """Superheat of suction gas, discharge gas or sump oil."""
        return self._post("/v1/superheat", **_fields(locals()))

    def subcooling(
        self,
        *,
        refrigerant: str,
        pressure: Quantity,
        temperature: Quantity,
        site: Site | None = None,
        report_in: System | None = None,
    ) -> R_co:
        """Subcooling of the liquid line."""
        return self._post("/v1/subcooling", **_fields(locals()))


def _fields(arguments: dict[str, Any]) -> dict[str, Any]:
    """The keyword arguments of a method, without itself."""
    return {name: value for name, value in arguments.items() if name != "self"}
