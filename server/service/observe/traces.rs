//! What did a call spend its time on? Spans for a collector of traces, when one is named.

use opentelemetry::propagation::{Extractor, TextMapPropagator as _};
use opentelemetry::trace::TracerProvider as _;
use opentelemetry_otlp::WithExportConfig as _;
use opentelemetry_sdk::Resource;
use opentelemetry_sdk::propagation::TraceContextPropagator;
use opentelemetry_sdk::trace::{SdkTracerProvider, Tracer};
use tonic::codegen::http::HeaderMap;
use tracing::Span;
use tracing_opentelemetry::OpenTelemetrySpanExt as _;

/// The header of the W3C recommendation "Trace Context" that names the caller's span.
const PARENT: &str = "traceparent";

/// The span of a call: its rpc and its id, nothing of what was asked.
pub fn span(rpc: &'static str, id: &str, headers: &HeaderMap) -> Span {
    let span = tracing::info_span!("call", otel.name = rpc, otel.kind = "server", request_id = id);
    if headers.contains_key(PARENT) && !span.is_disabled() {
        let parent = TraceContextPropagator::new().extract(&Headers(headers));
        // Without a collector there is nothing to join.
        let _ = span.set_parent(parent);
    }
    span
}

struct Headers<'a>(&'a HeaderMap);

impl Extractor for Headers<'_> {
    fn get(&self, key: &str) -> Option<&str> {
        self.0.get(key).and_then(|value| value.to_str().ok())
    }

    fn keys(&self) -> Vec<&str> {
        self.0.keys().map(|name| name.as_str()).collect()
    }
}

/// Starts to send spans to a collector that takes OTLP over gRPC, such as http://127.0.0.1:4317.
/// To be called within the runtime; `shutdown` of the first part sends what is left.
pub fn exporter(
    collector: &str,
) -> Result<(SdkTracerProvider, Tracer), opentelemetry_otlp::ExporterBuildError> {
    let exporter =
        opentelemetry_otlp::SpanExporter::builder().with_tonic().with_endpoint(collector).build()?;
    let provider = SdkTracerProvider::builder()
        .with_batch_exporter(exporter)
        .with_resource(Resource::builder().with_service_name("swardd").build())
        .build();
    let tracer = provider.tracer("swardd");
    Ok((provider, tracer))
}
