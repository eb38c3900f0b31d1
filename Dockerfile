# Two stages: wheels are built where compilers may be, the image that runs holds Python, the locked packages and nothing else.
FROM docker.io/library/python:3.11-slim-bookworm AS build
WORKDIR /build
COPY requirements/demo.txt requirements/run.txt requirements/
RUN python -m venv /opt/witnessmark \
 && /opt/witnessmark/bin/pip install --no-cache-dir --disable-pip-version-check --require-hashes -r requirements/run.txt \
 && python -m venv /opt/builder \
 && /opt/builder/bin/pip install --no-cache-dir --disable-pip-version-check --require-hashes -r requirements/demo.txt
COPY pyproject.toml README.md LICENSE ./
COPY service service
COPY openapi openapi
RUN /opt/builder/bin/pip wheel --no-build-isolation --no-deps --wheel-dir dist . \
 && /opt/witnessmark/bin/pip install --no-cache-dir --disable-pip-version-check --no-deps dist/*.whl

FROM docker.io/library/python:3.11-slim-bookworm
RUN useradd --uid 10001 --no-create-home --shell /usr/sbin/nologin witnessmark
COPY --from=build /opt/witnessmark /opt/witnessmark
USER 10001
ENV PYTHONDONTWRITEBYTECODE=1 PYTHONUNBUFFERED=1 MPLCONFIGDIR=/tmp
EXPOSE 8000
HEALTHCHECK --interval=15s --timeout=3s --start-period=20s --retries=3 \
  CMD ["/opt/witnessmark/bin/python", "-c", "import urllib.request as u; u.urlopen('http://127.0.0.1:8000/readyz', timeout=2)"]
CMD ["/opt/witnessmark/bin/witnessmark", "serve", "--host", "0.0.0.0", "--port", "8000"]
