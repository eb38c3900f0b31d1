"""Thin typed client of the Witnessmark service."""

from witnessmark_client._answers import Answer
from witnessmark_client._clients import AsyncClient, Client
from witnessmark_client._exceptions import (
    InvalidInputError,
    NotFoundError,
    ProblemError,
    RequestRefusedError,
    ServiceFaultError,
    TimeoutExceededError,
    TransportError,
    UnavailableError,
    UnexpectedAnswerError,
    UnsendableError,
    WitnessmarkError,
)
from witnessmark_client._protocol import Retries
from witnessmark_client._quantities import Quantity, Site, barg, degC, degF, kPaa, psig, quantity

__all__ = [
    "Answer",
    "AsyncClient",
    "Client",
    "InvalidInputError",
    "NotFoundError",
    "ProblemError",
    "Quantity",
    "RequestRefusedError",
    "Retries",
    "ServiceFaultError",
    "Site",
    "TimeoutExceededError",
    "TransportError",
    "UnavailableError",
    "UnexpectedAnswerError",
    "UnsendableError",
    "WitnessmarkError",
    "barg",
    "degC",
    "degF",
    "kPaa",
    "psig",
    "quantity",
]
