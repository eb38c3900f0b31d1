# Two stages: wheels are built where compilers may be, the image that runs holds Python, the locked packages and nothing else.
# Pin the base with --build-arg BASE=python@sha256:…, the digest that your registry shows for it.
ARG BASE=python:3.11-slim-bookworm
FROM ${BASE} AS build
WORKDIR /build
ENV PIP_DISABLE_PIP_VERSION_CHECK=1
COPY requirements/demo.txt requirements/run.txt requirements/
# The runtime environment has no pip of its own, and none of the packages' tests.
RUN python -m venv /opt/builder \
 && /opt/builder/bin/pip install --require-hashes -r requirements/demo.txt \
 && python -m venv --without-pip /opt/witnessmark \
 && /opt/builder/bin/pip --python /opt/witnessmark/bin/python install --require-hashes -r requirements/run.txt \
 && find /opt/witnessmark -type d -name tests -prune -exec rm -r {} +
COPY pyproject.toml README.md LICENSE ./
COPY service service
COPY docs docs
COPY openapi/examples openapi/examples
RUN /opt/builder/bin/pip wheel --no-build-isolation --no-deps --wheel-dir dist . \
 && /opt/builder/bin/pip --python /opt/witnessmark/bin/python install --no-deps dist/*.whl

FROM ${BASE}
# Nothing in the image may give a process the rights of another user.
RUN useradd --uid 10001 --no-create-home --shell /usr/sbin/nologin witnessmark \
 && find / -xdev -type f -perm /6000 -exec chmod a-s {} +
COPY --from=build /opt/witnessmark /opt/witnessmark
USER 10001
# The drawing library keeps its list of fonts in a folder it can write: /dev/shm is one even where all else is read-only.
ENV PYTHONDONTWRITEBYTECODE=1 PYTHONUNBUFFERED=1 MPLCONFIGDIR=/dev/shm
# Every setting can be given as such a variable (docs/OPERATIONS.md), for example WITNESSMARK_WORKERS.
ENV WITNESSMARK_HOST=0.0.0.0 WITNESSMARK_PORT=8000
STOPSIGNAL SIGTERM
EXPOSE 8000
HEALTHCHECK --interval=15s --timeout=3s --start-period=60s --retries=3 \
  CMD ["/opt/witnessmark/bin/python", "-c", "import os, urllib.request as u; u.urlopen('http://127.0.0.1:' + os.environ['WITNESSMARK_PORT'] + '/livez', timeout=2)"]
CMD ["/opt/witnessmark/bin/witnessmark", "serve"]
